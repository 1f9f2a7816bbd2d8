#include <gtest/gtest.h>

#include <functional>
#include <limits>

#include "dangerline/base/error.hpp"
#include "dangerline/tide/curve.hpp"
#include "dangerline/tide/harmonic.hpp"
#include "tide/stations.hpp"

using namespace dangerline;
using namespace dangerline::tide;
using stations::number;
using stations::utc;

namespace {

struct FridayHarbor {
    Constants constants{.source = "noaa/9449880"};
    double msl_above_mllw = 0.0;
    std::vector<HighOrLow> official;
};

FridayHarbor friday_harbor() {
    FridayHarbor f;
    for (const auto& row : support::read_table(support::testdata() / "tide/noaa_friday_harbor.csv")) {
        const auto &record = row.at("record"), &name = row.at("name_or_utc");
        const auto &metres = row.at("amplitude_or_height_m"), &last = row.at("phase_deg_gmt_or_kind");
        if (record == "constant")
            f.constants.terms.push_back({find_constituent(name), number(metres), number(last)});
        else if (record == "official")
            f.official.push_back({utc(name), TideHeight::from_metres(number(metres)), last == "high"});
        else
            f.msl_above_mllw = number(metres);
    }
    return f;
}

std::string message_of(const std::string& content) {
    try {
        constants_from(files::Table::parse("port.csv", content));
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::data);
        return failure.what();
    }
    return "nothing thrown";
}

const std::string head = "# invented\nconstituent,amplitude_m,phase_deg_gmt\n";

} // namespace

// NOAA CO-OPS official predictions, Friday Harbor 9449880, 15-17 July 2026: twelve, no more and no fewer.
TEST(Harmonic, official_high_and_low_waters_of_friday_harbor) {
    const FridayHarbor f = friday_harbor();
    ASSERT_EQ(f.constants.terms.size(), 37U);
    ASSERT_EQ(f.official.size(), 12U);
    const Instant from = utc("2026-07-15T00:00:00Z"), to = utc("2026-07-18T00:00:00Z");
    const Curve curve = Curve::harmonic(f.constants, f.msl_above_mllw, from, to);
    const auto found = curve.extremes(from, to);
    ASSERT_EQ(found.size(), 12U);
    for (std::size_t i = 0; i < found.size(); ++i) {
        const HighOrLow& official = f.official[i];
        EXPECT_EQ(found[i].is_high, official.is_high);
        EXPECT_NEAR(found[i].at - official.at, 0.0, 60.0) << to_iso_utc(official.at);
        EXPECT_NEAR(found[i].height.metres(), official.height.metres(), 0.005) << to_iso_utc(official.at);
        EXPECT_NEAR(curve.height(official.at)->metres(), official.height.metres(), 0.005);
        EXPECT_NEAR(direct_height(f.constants, f.msl_above_mllw, official.at).metres(),
                    official.height.metres(), 0.005);
    }
}

// Heights and turning points by an independent program after NOAA practice, all of 2026, three types of tide.
TEST(Harmonic, heights_of_three_stations_through_2026) {
    std::map<std::string, Curve> curves;
    int heights = 0, turns = 0;
    for (const auto& row :
         support::read_table(support::testdata() / "tide/derived_noaa_practice_heights.csv")) {
        const auto& id = row.at("station_id");
        const auto& when = row.at("utc");
        if (!curves.contains(id))
            curves.emplace(id, Curve::harmonic(stations::noaa(id), stations::msl_above_mllw(id),
                                               start_of({2026, 1, 1}), start_of({2026, 12, 31}) + 86400.0));
        const Curve& curve = curves.at(id);
        const Instant t = utc(when.substr(0, 20));
        const double expected = number(row.at("level_above_mllw_m"));
        EXPECT_NEAR(curve.height(t)->metres(), expected, 0.002) << when;
        EXPECT_NEAR(number(row.at("level_above_msl_m")) + stations::msl_above_mllw(id), expected,
                    1e-4 + 1e-9);
        ++heights;
        if (when.size() == 20)
            continue;
        const auto near = curve.extremes(t - 300.0, t + 300.0);
        ASSERT_EQ(near.size(), 1U) << when;
        EXPECT_EQ(near[0].is_high, when.ends_with("HIGH"));
        EXPECT_NEAR(near[0].at - t, 0.0, 60.0);
        EXPECT_NEAR(near[0].height.metres(), expected, 0.002);
        ++turns;
    }
    EXPECT_EQ(heights, 80);
    EXPECT_EQ(turns, 20);
}

// IHO C-13, Manual on Hydrography, chapter 5: (K1 + O1) / (M2 + S2) and its classes.
TEST(Harmonic, type_of_tide) {
    const auto ratio = [](const char* id) { return diurnal_ratio(stations::noaa(id)).value(); };
    EXPECT_NEAR(ratio(stations::boston), 0.164, 0.0005);
    EXPECT_NEAR(ratio(stations::seattle), 0.971, 0.0005);
    EXPECT_NEAR(ratio(stations::pensacola), 11.2, 0.05);
    EXPECT_EQ(type_of_tide(ratio(stations::boston)), TideType::semidiurnal);
    EXPECT_EQ(type_of_tide(ratio(stations::seattle)), TideType::mixed_mainly_semidiurnal);
    EXPECT_EQ(type_of_tide(ratio(stations::pensacola)), TideType::diurnal);
    EXPECT_EQ(type_of_tide(0.2499), TideType::semidiurnal);
    EXPECT_EQ(type_of_tide(0.25), TideType::mixed_mainly_semidiurnal);
    EXPECT_EQ(type_of_tide(1.5), TideType::mixed_mainly_semidiurnal);
    EXPECT_EQ(type_of_tide(1.6), TideType::mixed_mainly_diurnal);
    EXPECT_EQ(type_of_tide(3.0), TideType::mixed_mainly_diurnal);
    EXPECT_EQ(type_of_tide(3.01), TideType::diurnal);
    EXPECT_STREQ(to_text(TideType::mixed_mainly_diurnal), "mixed, mainly diurnal");
    EXPECT_FALSE(diurnal_ratio(constants_from(files::Table::parse("p", head + "M2,1,0\nK1,1,0\nO1,1,0\n"))));
    EXPECT_EQ(
        diurnal_ratio(constants_from(files::Table::parse("p", head + "M2,0,0\nS2,0,0\nK1,1,0\nO1,1,0\n"))),
        std::numeric_limits<double>::infinity());
}

TEST(Harmonic, reads_the_projects_table) {
    const support::TemporaryFolder folder;
    const auto path = folder.file("port.csv", head + "M2, 1.500 ,-360\n# later\nLAM2,0,720\n");
    const Constants c = read_constants(path);
    ASSERT_EQ(c.terms.size(), 2U);
    EXPECT_EQ(c.source, path.string());
    EXPECT_EQ(c.amplitude_m("M2"), 1.5);
    EXPECT_EQ(c.amplitude_m("LAM2"), 0.0);
    EXPECT_FALSE(c.amplitude_m("S2"));
    EXPECT_EQ(c.terms[1].phase_deg, 720.0);
}

TEST(Harmonic, refuses_constants_it_would_have_to_guess_about) {
    EXPECT_EQ(
        message_of(head + "M2,1,0\nM9,1,0\n"),
        "port.csv: line 4, column constituent: \"M9\" is no constituent known here (expected one of the 37 "
        "standard constituents in NOAA's spelling, such as M2, K1, LAM2, 2MK3)");
    EXPECT_EQ(message_of(head + "M2,1,0\nM2,1,0\n"),
              "port.csv: line 4, column constituent: M2 is given twice "
              "(expected each constituent once)");
    EXPECT_EQ(message_of(head + "M2,-1,0\n"),
              "port.csv: line 3, column amplitude_m: found -1 (expected metres, not negative)");
    EXPECT_EQ(message_of(head + "M2,1,720.1\n"),
              "port.csv: line 3, column phase_deg_gmt: found 720.1 (expected "
              "degrees of lag on Greenwich between -360 and 720)");
    EXPECT_NE(message_of(head + "M2,1,-360.1\n"), "nothing thrown");
    EXPECT_EQ(message_of(head + "M2,1,\n"),
              "port.csv: line 3, column phase_deg_gmt: the cell is empty (expected a number such as 1.25)");
    EXPECT_EQ(message_of(head + "M2,nan,0\n"),
              "port.csv: line 3, column amplitude_m: found \"nan\" (expected a number such as 1.25)");
    EXPECT_EQ(message_of(head), "port.csv: no harmonic constants in the table (expected at least one row of "
                                "constituent, amplitude_m, phase_deg_gmt)");
    EXPECT_EQ(
        message_of("constituent,amplitude_m,phase_deg\nM2,1,0\n"),
        "port.csv: no column phase_deg_gmt among constituent, amplitude_m, phase_deg (expected the columns "
        "constituent, amplitude_m, phase_deg_gmt)");
}

TEST(Harmonic, refuses_spans_it_has_no_factors_for) {
    const Constants c = stations::noaa(stations::boston);
    const Instant t = start_of({2026, 1, 1});
    EXPECT_THROW(Curve::harmonic(c, 1.0, t, t - 1.0), Failure);
    EXPECT_THROW(Curve::harmonic(c, 1.0, start_of({1899, 12, 31}), t), Failure);
    EXPECT_THROW(Curve::harmonic(c, 1.0, t, start_of({2101, 1, 1})), Failure);
}

// The nodes come from rotations, the values between from cubics; the plain sum is the other way to the same.
TEST(Harmonic, curve_equals_the_plain_sum) {
    for (const char* id : {stations::boston, stations::pensacola, stations::seattle}) {
        const Constants c = stations::noaa(id);
        const Instant from = utc("2025-12-20T03:07:00Z"), to = utc("2027-01-10T00:00:00Z");
        const Curve curve = Curve::harmonic(c, 1.25, from, to);
        double at_nodes = 0.0, between = 0.0, rates = 0.0;
        for (const Piece& piece : curve.pieces())
            for (std::size_t i = 0; i + 1 < piece.height_m.size(); i += 611) {
                const Instant t = piece.start + piece.step_s * static_cast<double>(i);
                at_nodes =
                    std::max(at_nodes, std::abs(piece.height_m[i] - direct_height(c, 1.25, t).metres()));
                const double slope =
                    (direct_height(c, 1.25, t + 5.0).metres() - direct_height(c, 1.25, t + 1.0).metres()) /
                    4.0;
                if (t >= from)
                    rates = std::max(rates, std::abs(curve.rate(t + 3.0).value() - slope));
            }
        for (double s = 0.0; s < to - from; s += 19 * 3600.0 + 283.0)
            between = std::max(between, std::abs(curve.height(from + s)->metres() -
                                                 direct_height(c, 1.25, from + s).metres()));
        EXPECT_LT(at_nodes, 1e-10) << id;
        EXPECT_LT(between, 2e-6) << id;
        EXPECT_LT(rates, 1e-7) << id;
    }
}

// Recurrence: the same hour reached from different starts.
TEST(Harmonic, height_does_not_depend_on_where_the_curve_begins) {
    const Constants c = stations::noaa(stations::seattle);
    const Instant to = utc("2026-12-31T23:00:00Z");
    const Curve year = Curve::harmonic(c, 0.0, utc("2026-01-01T00:00:00Z"), to);
    const Curve day = Curve::harmonic(c, 0.0, utc("2026-12-30T11:23:00Z"), to);
    for (double s = 0.0; s < 35 * 3600.0; s += 77.0)
        EXPECT_NEAR(year.height(to - s)->metres(), day.height(to - s)->metres(), 1e-10);
}

// f and u belong to the calendar year: on either side of 31 December the curve is that year's own sum, and
// what is asked over the turn sees both.
TEST(Harmonic, spans_over_new_year_see_both_years) {
    const auto constants = stations::noaa(stations::seattle);
    const double z0 = stations::msl_above_mllw(stations::seattle);
    double largest_jump = 0.0;
    for (int year = 2024; year < 2044; ++year) {
        const Instant turn = start_of({year, 1, 1}), from = turn - 2 * 86400.0, to = turn + 2 * 86400.0;
        const Curve curve = Curve::harmonic(constants, z0, from, to);
        EXPECT_TRUE(curve.unknown(from, to).empty()) << year;
        for (const double hours : {-30.0, -5.5, -0.01, 0.0, 0.01, 7.25, 40.0})
            EXPECT_NEAR(curve.height(turn + 3600.0 * hours)->metres(),
                        direct_height(constants, z0, turn + 3600.0 * hours).metres(), 5e-6)
                << year << " " << hours;
        const double before = curve.height(turn - 0.001)->metres(), after = curve.height(turn)->metres();
        largest_jump = std::max(largest_jump, std::abs(after - before));
        EXPECT_LE(curve.lowest(turn - 1.0, turn + 1.0)->height.metres(), std::min(before, after) + 1e-6);
        EXPECT_GE(curve.highest(turn - 1.0, turn + 1.0)->height.metres(), std::max(before, after) - 1e-6);
        // A level in the jump, if there is one: low on one side only, and cut at midnight sharp.
        const auto below =
            curve.below(TideHeight::from_metres(0.5 * (before + after)), turn - 60.0, turn + 60.0);
        if (std::abs(after - before) > 0.01) {
            ASSERT_EQ(below.spans.size(), 1U) << year;
            EXPECT_NEAR((before < after ? below.spans[0].to : below.spans[0].from) - turn, 0.0, 0.1) << year;
        }
    }
    EXPECT_GT(largest_jump, 0.01); // the years do differ
    EXPECT_LT(largest_jump, 0.12);
}

// The same table, of which 31 December 23:50 is in the old year: derived_noaa_practice_heights.csv.
TEST(Harmonic, last_hour_of_the_year_by_noaa_practice) {
    const auto constants = stations::noaa(stations::seattle);
    const Instant at = utc("2026-12-31T23:50:00Z");
    const Curve curve = Curve::harmonic(constants, 0.0, at - 86400.0, at + 86400.0);
    EXPECT_NEAR(curve.height(at)->metres(), -0.8524, 0.002);
    EXPECT_NEAR(Curve::harmonic(constants, 0.0, at, at).height(at)->metres(), -0.8524, 0.002);
}
