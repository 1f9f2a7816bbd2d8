#include "dangerline/tide/secondary.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "dangerline/base/error.hpp"
#include "tide/stations.hpp"

using namespace dangerline;
using namespace dangerline::tide;
using stations::number;
using stations::utc;

namespace {

Differences parsed(const std::string& rows) {
    return differences_from(files::Table::parse("port.csv", "item,at,value\n" + rows));
}

std::string refusal(const std::string& rows) {
    try {
        parsed(rows);
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::data);
        return failure.what();
    }
    return "nothing thrown";
}

HighOrLow tide_at(const std::string& time, double metres, bool high) {
    return {utc(time), TideHeight::from_metres(metres), high};
}

struct Subordinate {
    Constants reference{};
    double msl_above_mllw = 0.0;
    std::string differences{};
    std::vector<HighOrLow> official{};
};

/// One of the two stations in noaa_subordinates.csv, its offsets as rows of this project's table.
Subordinate subordinate(const std::string& name) {
    Subordinate s;
    const std::map<std::string, std::string> items{
        {"height_offset_ratio_high", "hw_ratio"},    {"height_offset_ratio_low", "lw_ratio"},
        {"height_offset_fixed_high", "hw_height_m"}, {"height_offset_fixed_low", "lw_height_m"},
        {"time_offset_min_high", "hw_time_min"},     {"time_offset_min_low", "lw_time_min"}};
    for (const auto& row : support::read_table(support::testdata() / "tide/noaa_subordinates.csv")) {
        if (row.at("station") != name)
            continue;
        const auto &record = row.at("record"), &what = row.at("name_or_utc");
        const auto &value = row.at("amplitude_or_height_m"), &last = row.at("phase_deg_gmt_or_kind");
        if (record == "reference_constant")
            s.reference.terms.push_back({find_constituent(what), number(value), number(last)});
        else if (record == "reference_msl_minus_mllw")
            s.msl_above_mllw = number(value);
        else if (record == "official")
            s.official.push_back({utc(what), TideHeight::from_metres(number(value)), last == "high"});
        else
            s.differences += items.at(record) + ",," + value + "\n";
    }
    return s;
}

} // namespace

// NOAA CO-OPS official predictions of two subordinate stations, 15-17 July 2026.
TEST(Secondary, official_high_and_low_waters_of_noaa_subordinate_stations) {
    double worst_m = 0.0, worst_s = 0.0;
    for (const std::string name : {"TEC4635 Nurse Channel", "1613077 Kamalo Harbor"}) {
        const Subordinate s = subordinate(name);
        ASSERT_EQ(s.official.size(), 12U);
        const Instant from = utc("2026-07-15T00:00:00Z"), to = utc("2026-07-18T00:00:00Z");
        const Curve reference =
            Curve::harmonic(s.reference, s.msl_above_mllw, from - secondary_reach_s, to + secondary_reach_s);
        const auto tides = reference.extremes(from - secondary_reach_s, to + secondary_reach_s);
        const Prediction p = secondary(tides, parsed(s.differences), {}, name);
        const auto found = p.curve.extremes(from, to);
        ASSERT_EQ(found.size(), 12U) << name;
        for (std::size_t i = 0; i < found.size(); ++i) {
            EXPECT_EQ(found[i].is_high, s.official[i].is_high);
            const double metres = found[i].height.metres() - s.official[i].height.metres();
            const double seconds = found[i].at - s.official[i].at;
            EXPECT_NEAR(metres, 0.0, 0.001) << name << " " << to_iso_utc(found[i].at);
            EXPECT_NEAR(seconds, 0.0, 60.0) << name << " " << to_iso_utc(found[i].at);
            worst_m = std::max(worst_m, std::abs(metres));
            worst_s = std::max(worst_s, std::abs(seconds));
        }
    }
    RecordProperty("worst_mm", std::to_string(worst_m * 1000.0));
    RecordProperty("worst_s", std::to_string(worst_s));
    EXPECT_LT(worst_m, 0.0007);
    EXPECT_LT(worst_s, 40.0);
}

// corvidia.net/midshipman/secondary-port-tester: high water at 0300, difference +0029.
TEST(Secondary, published_exercise) {
    const Differences d = read_differences(support::testdata() / "tide/secondary_exercise.csv");
    EXPECT_NEAR(time_difference_s(d, tide_at("2026-06-01T03:00Z", 4.0, true)) / 60.0, 29.0, 1e-9);
    // Derived from the same data.
    const HighOrLow at = at_secondary(d, tide_at("2026-06-01T06:38Z", 4.2, true));
    EXPECT_NEAR(at.at - utc("2026-06-01T06:38Z"), 24.3 * 60.0, 0.05 * 60.0);
    EXPECT_NEAR(at.height.metres(), 5.3, 1e-9);
}

TEST(Secondary, times_are_interpolated_round_the_clock) {
    const Differences d = read_differences(support::testdata() / "tide/secondary_exercise.csv");
    const auto minutes = [&](const std::string& clock, bool high) {
        return time_difference_s(d, tide_at("2026-06-01T" + clock + "Z", 3.0, high)) / 60.0;
    };
    EXPECT_DOUBLE_EQ(minutes("00:00", true), 35.0);
    EXPECT_DOUBLE_EQ(minutes("21:00", true), 29.0);
    EXPECT_NEAR(minutes("23:59", true), 35.0 - 12.0 / 360.0, 1e-9);
    EXPECT_DOUBLE_EQ(minutes("05:00", false), 47.0);
    EXPECT_DOUBLE_EQ(minutes("08:00", false), 25.5);
    EXPECT_DOUBLE_EQ(minutes("23:00", false), 4.0);
    EXPECT_NEAR(minutes("02:00", false), 25.5, 1e-9); // 23:00 to 05:00, over midnight
    EXPECT_NEAR(minutes("00:00", false), 4.0 + 43.0 / 6.0, 1e-9);
}

TEST(Secondary, the_clock_of_the_differences_is_not_utc) {
    Differences d = read_differences(support::testdata() / "tide/secondary_exercise.csv");
    d.clock_utc_offset_s = -3600.0; // one hour behind: 04:00 UTC is 03:00 there
    EXPECT_NEAR(time_difference_s(d, tide_at("2026-06-01T04:00Z", 4.0, true)) / 60.0, 29.0, 1e-9);
    EXPECT_NEAR(time_difference_s(d, tide_at("2026-06-01T00:30Z", 4.0, true)) / 60.0, 34.0, 1e-9); // 23:30
}

TEST(Secondary, heights_are_interpolated_and_go_on_along_the_line) {
    const Differences d = read_differences(support::testdata() / "tide/secondary_exercise.csv");
    const auto add = [&](double metres, bool high) {
        return height_difference_m(d, tide_at("2026-06-01T03:00Z", metres, high));
    };
    EXPECT_NEAR(add(3.4, true), 0.8, 1e-12);
    EXPECT_NEAR(add(3.8, true), 0.95, 1e-12);
    EXPECT_NEAR(add(4.6, true), 1.25, 1e-12); // above springs
    EXPECT_NEAR(add(3.0, true), 0.65, 1e-12); // below neaps
    EXPECT_NEAR(add(0.75, false), 0.15, 1e-12);
    EXPECT_NEAR(add(0.05, false), 0.05, 1e-12);
}

TEST(Secondary, more_than_two_heights_are_joined_pair_by_pair) {
    const Differences d = parsed("hw_time_min,,0\nlw_time_min,,0\nhw_height_m,5,1.0\nhw_height_m,3,0.2\n"
                                 "hw_height_m,4,0.4\nlw_ratio,,1\n");
    const auto add = [&](double metres) {
        return height_difference_m(d, tide_at("2026-06-01T03:00Z", metres, true));
    };
    EXPECT_NEAR(add(3.5), 0.3, 1e-12);
    EXPECT_NEAR(add(4.0), 0.4, 1e-12);
    EXPECT_NEAR(add(4.5), 0.7, 1e-12);
    EXPECT_NEAR(add(5.5), 1.3, 1e-12);
    EXPECT_NEAR(add(2.5), 0.1, 1e-12);
}

TEST(Secondary, ratio_and_fixed_rows) {
    const Differences d = parsed("hw_time_min,,-37\nlw_time_min,,10\nhw_ratio,,0.79\nlw_height_m,,-0.05\n");
    const HighOrLow high = at_secondary(d, tide_at("2026-06-01T03:00Z", 2.0, true));
    EXPECT_EQ(high.at, utc("2026-06-01T02:23Z"));
    EXPECT_NEAR(high.height.metres(), 1.58, 1e-12);
    const HighOrLow low = at_secondary(d, tide_at("2026-06-01T09:00Z", 0.5, false));
    EXPECT_EQ(low.at, utc("2026-06-01T09:10Z"));
    EXPECT_NEAR(low.height.metres(), 0.45, 1e-12);
}

TEST(Secondary, refuses_differences_it_would_have_to_guess_about) {
    const std::string good = "hw_time_min,,5\nlw_time_min,,6\nhw_ratio,,0.9\nlw_ratio,,0.8\n";
    EXPECT_EQ(parsed(good).low.ratio, 0.8);
    const auto says = [](const std::string& rows, const std::vector<std::string>& parts) {
        const std::string message = refusal(rows);
        for (const auto& part : parts)
            EXPECT_NE(message.find(part), std::string::npos) << "no \"" << part << "\" in: " << message;
    };
    says("lw_time_min,,6\nhw_ratio,,0.9\nlw_ratio,,0.8\n", {"port.csv", "no time difference of hw"});
    says("hw_time_min,,5\nlw_time_min,,6\nlw_ratio,,0.8\n", {"no height difference of hw"});
    says(good + "lw_height_m,,0.1\n", {"both a ratio and a height difference of lw"});
    says(good + "hw_ratio,,0.9\n", {"line 6", "hw_ratio is given twice"});
    says(good + "hw_time_min,06:00,9\n", {"line 6", "hw_time_min is given twice"});
    says("hw_time_min,06:00,9\n" + good, {"line 3", "hw_time_min is given twice"});
    says(good + "hw_hight_m,,9\n", {"line 6", "unknown item \"hw_hight_m\"", "hw_height_m"});
    says(good + "mw_ratio,,9\n", {"line 6", "unknown item"});
    says("hw_ratio,12:00,0.9\n" + good, {"line 2", "no meaning for hw_ratio"});
    says("hw_time_min,06:00,9\nlw_time_min,,6\nhw_ratio,,0.9\nlw_ratio,,0.8\n", {"clock_utc_offset_h"});
    says("hw_time_min,6:00,9\n", {"line 2", "\"6:00\" is no clock time"});
    says("hw_time_min,24:00,9\n", {"line 2", "24:00"});
    says("hw_time_min,,721\n", {"line 2", "out of range", "720"});
    says("hw_height_m,4.2,11\n", {"line 2", "out of range"});
    says("hw_height_m,4.2,\n", {"line 2", "value"});
    says("hw_height_m,4.2,0.5\nhw_height_m,4.20,0.6\n", {"line 3", "given twice"});
    says("hw_ratio,,-0.5\n", {"line 2", "out of range"});
    says("clock_utc_offset_h,,15\n", {"line 2", "out of range"});
}

// A stand of five minutes in a mixed tide, and differences that bring its low water before its high water.
TEST(Secondary, tides_out_of_order_are_unknown_not_invented) {
    const Differences d = parsed("hw_time_min,,20\nlw_time_min,,0\nhw_ratio,,1\nlw_ratio,,1\n");
    const std::vector<HighOrLow> standard{
        tide_at("2026-06-01T00:00Z", 0.2, false), tide_at("2026-06-01T05:00Z", 2.0, true),
        tide_at("2026-06-01T05:05Z", 1.99, false), tide_at("2026-06-01T09:00Z", 2.6, true),
        tide_at("2026-06-01T15:00Z", 0.1, false)};
    const Prediction p = secondary(standard, d, {}, "");
    EXPECT_FALSE(p.curve.height(utc("2026-06-01T05:10Z")));
    EXPECT_FALSE(p.curve.height(utc("2026-06-01T01:00Z")));
    EXPECT_TRUE(p.curve.height(utc("2026-06-01T12:00Z")));
    ASSERT_FALSE(p.notes.empty());
    EXPECT_NE(p.notes.back().find("out of order"), std::string::npos);
    EXPECT_TRUE(
        secondary({}, d, {}, "").curve.unknown(utc("2026-06-01T00:00Z"), utc("2026-06-02T00:00Z")).size() ==
        1U);
}

// f and u change at New Year; neither a tide nor a minute may be lost there, in any of the years of the
// node's cycle.
TEST(Secondary, over_new_year_no_tide_is_lost) {
    const Differences d = read_differences(support::testdata() / "tide/secondary_exercise.csv");
    const auto boston = stations::noaa(stations::boston);
    for (int year = 2024; year < 2043; ++year) {
        const Instant turn = start_of({year, 1, 1}), from = turn - 3 * 86400.0, to = turn + 3 * 86400.0;
        const Curve reference = Curve::harmonic(boston, stations::msl_above_mllw(stations::boston),
                                                from - secondary_reach_s, to + secondary_reach_s);
        const auto tides = reference.extremes(from - secondary_reach_s, to + secondary_reach_s);
        for (std::size_t i = 1; i < tides.size(); ++i)
            EXPECT_NE(tides[i].is_high, tides[i - 1].is_high) << year;
        const Prediction p = secondary(tides, d, {}, "");
        EXPECT_TRUE(p.curve.unknown(from, to).empty()) << year;
        EXPECT_TRUE(p.notes.empty()) << year;
        EXPECT_NEAR(static_cast<double>(p.curve.extremes(from, to).size()), 23.2, 1.3) << year;
    }
}

// What scripts/tideconstants writes is what the program reads.
TEST(Secondary, reads_what_the_converter_writes) {
    const auto constants = read_constants(support::testdata() / "tide/database_constants.csv");
    ASSERT_EQ(constants.terms.size(), 4U);
    EXPECT_NEAR(constants.amplitude_m("M2").value(), 1.371, 1e-9);
    const Differences d = read_differences(support::testdata() / "tide/database_differences.csv");
    EXPECT_EQ(d.low.ratio, 1.11);
    EXPECT_EQ(d.low.times.at(0).difference_s, 600.0);
}
