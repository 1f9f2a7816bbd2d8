// Scenes worked by hand, from a made cell and a tide to what the skipper is told. Required water 1.4 m, tide
// doubt 0.3 m.
#include <gtest/gtest.h>

#include "dangerline/tide/high_low.hpp"
#include "dangerline/tide/weather.hpp"
#include "passage/made_cells.hpp"

using namespace made_cells;
using hazard::Cause;
using hazard::Grade;

// A sounding of 3.0 ft is 0.914 m; with 0.3 m of tide 1.21 m, less than 1.4 m. Read as metres it leaves 3.3
// m.
TEST(Worked, a_sounding_in_feet_is_not_one_in_metres) {
    const auto with_units = [](int duni) {
        auto d = sheet(10'000, -3000, 3000, "10", "20");
        d.header.duni = duni;
        d.add_soundings({{at(0, 10), 3.0}});
        return run({laid(d, "X14TEST1")}, {.tide_m = 0.3});
    };
    const Check feet = with_units(3);
    ASSERT_EQ(of_class(feet, "SOUNDG").size(), 1U);
    EXPECT_EQ(of_class(feet, "SOUNDG")[0]->grade, Grade::danger);
    EXPECT_NEAR(*of_class(feet, "SOUNDG")[0]->water_m, 1.2144, 1e-4);
    EXPECT_TRUE(with_units(1).findings.empty());
}

// Table tide 2.10 m, 1033 hPa over a mean of 1013: 2.10 - 0.20 = 1.90 m. Over a rock that dries 0.6 m that is
// 1.30 m, less than 1.4 m; without the pressure 1.50 m.
TEST(Worked, high_pressure_makes_a_rock_a_danger) {
    auto d = sheet(10'000, -3000, 3000, "10", "20");
    d.add_point("UWTROC", at(0, 10), {{"VALSOU", "-0.6"}, {"WATLEV", "4"}});
    const auto cell = laid(d, "X14TEST1");
    const auto table = tide::Curve::fixed(TideHeight::from_metres(2.10), "table");
    const auto lowered = tide::with_weather(table, {.pressure_hpa = 1033.0, .mean_pressure_hpa = 1013.0});
    const Check high = run({cell}, {.curve = lowered});
    ASSERT_EQ(high.findings.front().grade, Grade::danger);
    EXPECT_NEAR(*high.findings.front().tide_m, 1.90, 1e-9);
    EXPECT_NEAR(*high.findings.front().water_m, 1.30, 1e-9);
    const Check mean = run({cell}, {.curve = table});
    EXPECT_EQ(mean.findings.front().grade, Grade::caution);
    EXPECT_EQ(mean.findings.front().cause, Cause::margin);
}

// Two cells with 200 m between them: so much of the line no chart covers, and 50 m of corridor reach into it
// from either side.
TEST(Worked, a_gap_between_two_cells_is_unknown) {
    const Check c = run({laid(sheet(10'000, -3000, -100, "10", "20"), "X14WEST1"),
                         laid(sheet(10'000, 100, 3000, "10", "20"), "X14EAST1")},
                        {});
    EXPECT_EQ(c.worst, Grade::unknown);
    EXPECT_NEAR(c.tested.not_covered_m, 200.0, 0.5);
    EXPECT_NEAR(c.findings.front().length_m, 200.0 + 2.0 * 50.0, 1.0);
}

// The table's last tide is 10 min before the departure: unknown, whatever height it ended with.
TEST(Worked, a_departure_after_the_last_row_of_the_table_is_unknown) {
    auto d = sheet(10'000, -3000, 3000, "10", "20");
    d.add_point("UWTROC", at(0, 10), {{"VALSOU", "-0.6"}, {"WATLEV", "4"}});
    const auto table = [](double last_s) {
        const auto row = [&](double hours, double height_m, bool high) {
            return tide::HighOrLow{departure + (last_s - hours * 3600.0), TideHeight::from_metres(height_m),
                                   high};
        };
        return tide::half_cosine({row(12.4, 9.0, true), row(6.2, 8.0, false), row(0.0, 9.0, true)}, {}, "")
            .curve;
    };
    const auto cell = laid(d, "X14TEST1");
    const Check after = run({cell}, {.curve = table(-600.0)});
    EXPECT_EQ(after.worst, Grade::unknown);
    EXPECT_NEAR(after.findings.front().length_m, 5000.0, 2.0);
    // With a table that goes on for a day the height carries the boat.
    EXPECT_EQ(run({cell}, {.curve = table(9000.0)}).worst, Grade::none_found);
}
