#include "dangerline/drift/leeway.hpp"

#include <gtest/gtest.h>

#include <set>

#include "dangerline/base/quantities.hpp"

using namespace dangerline;
using namespace dangerline::drift;

namespace {

double knots(std::string_view name, double wind_mps) {
    return leeway_row(name).value().leeway.speed(wind_mps) / mps_per_knot;
}

// Allen and Fitzgerald 1997, abstract (DTIC ADA338829): 3.65 % upright, 1.73 % swamped.
TEST(Leeway, OpenBoatAsMeasured) {
    EXPECT_NEAR(knots("open boat", 10.0), 0.7095, 5e-5);
    EXPECT_NEAR(leeway_row("swamped open boat")->leeway.speed(10.0), 0.173, 1e-12);
}

// Brushett and others 2014, abstract: 7.71 % with one aboard, 4.40 % with thirteen.
TEST(Leeway, LoadMakesItSlower) {
    EXPECT_NEAR(knots("light open boat", 10.0), 1.499, 5e-4);
    EXPECT_NEAR(knots("laden open boat", 10.0), 0.855, 5e-4);
}

// The same abstract.
TEST(Leeway, OtherCraftAsMeasured) {
    EXPECT_NEAR(leeway_row("outrigger canoe")->leeway.speed(10.0), 0.240, 1e-12);
    EXPECT_NEAR(leeway_row("water scooter")->leeway.speed(10.0), 0.424, 1e-12);
}

// Multiplier of the 10 m wind, modifier and divergence as remembered of the USCG addendum's table after Allen
// and Plourde 1999; what is from memory says so.
TEST(Leeway, RememberedRowsSaySo) {
    struct Remembered {
        std::string_view name;
        double percent, offset_kn, divergence_deg;
    };
    const Remembered remembered[] = {{"flat-bottomed skiff", 3.4, 0.04, 22},
                                     {"v-hull skiff", 3.0, 0.08, 15},
                                     {"cuddy boat", 6.9, -0.08, 19},
                                     {"centre console", 6.0, -0.09, 22},
                                     {"sea kayak", 1.1, 0.24, 15}};
    std::set<std::string_view> names;
    for (const auto& r : remembered) {
        const auto row = leeway_row(r.name).value();
        EXPECT_NEAR(100.0 * row.leeway.share, r.percent, 1e-12) << r.name;
        EXPECT_NEAR(row.leeway.offset_mps / mps_per_knot, r.offset_kn, 1e-12) << r.name;
        EXPECT_EQ(row.leeway.divergence_deg, r.divergence_deg) << r.name;
        // In 20 kn: by hand, percent x 20 + offset.
        EXPECT_NEAR(knots(r.name, 20.0 * mps_per_knot), r.percent / 100.0 * 20.0 + r.offset_kn, 1e-9)
            << r.name;
        names.insert(r.name);
    }
    for (const auto& row : leeway_rows())
        EXPECT_EQ(row.source.starts_with("from memory"), names.contains(row.name)) << row.name;
}

TEST(Leeway, NeverAgainstTheWindAndNoneWithoutIt) {
    for (const auto& row : leeway_rows()) {
        EXPECT_EQ(row.leeway.speed(0.0), 0.0) << row.name;
        for (double wind = 0.1; wind < 30.0; wind += 0.1)
            EXPECT_LE(row.leeway.speed(wind), row.leeway.speed(wind + 0.1)) << row.name;
        EXPECT_GE(row.leeway.speed(0.1), 0.0) << row.name;
    }
}

TEST(Leeway, EachRowHasItsNameAndSource) {
    std::set<std::string_view> names;
    for (const auto& row : leeway_rows()) {
        EXPECT_TRUE(names.insert(row.name).second) << row.name;
        EXPECT_FALSE(row.source.empty());
        EXPECT_GT(row.leeway.divergence_deg, 0.0);
    }
    EXPECT_FALSE(leeway_row("barge"));
    EXPECT_TRUE(names.contains(slow_default) && names.contains(fast_default) &&
                names.contains(swamped_default));
}

} // namespace
