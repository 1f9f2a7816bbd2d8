#include "dangerline/tide/high_low.hpp"

#include <cmath>
#include <numbers>

#include <gtest/gtest.h>

#include "dangerline/base/error.hpp"
#include "tide/stations.hpp"

using namespace dangerline;
using namespace dangerline::tide;
using stations::number;
using stations::utc;

namespace {

const Instant midnight = utc("2026-06-01T00:00:00Z");

HighOrLow tide_at(double hours, double metres, bool high) {
    return {midnight + 3600.0 * hours, TideHeight::from_metres(metres), high};
}

double cosine(const HighOrLow& a, const HighOrLow& b, Instant t) {
    const double phase = std::numbers::pi * ((t - a.at) / (b.at - a.at));
    return a.height.metres() + 0.5 * (b.height.metres() - a.height.metres()) * (1.0 - std::cos(phase));
}

HighLowTable table_of(const std::string& rows, const std::optional<TimeZone>& zone = {},
                      const std::string& columns = "time,kind,height_m") {
    return high_low_from(files::Table::parse("port.csv", "# invented\n" + columns + "\n" + rows), zone);
}

std::string refusal(const std::string& rows, const std::optional<TimeZone>& zone = {},
                    const std::string& columns = "time,kind,height_m") {
    try {
        table_of(rows, zone, columns);
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::data);
        return failure.what();
    }
    return "nothing thrown";
}

void expect_says(const std::string& message, const std::vector<std::string>& parts) {
    for (const auto& part : parts)
        EXPECT_NE(message.find(part), std::string::npos) << "no \"" << part << "\" in: " << message;
}

} // namespace

// Montague Harbour, 1 October 2003, Canadian tide tables 5 and 5A (quoted at sailnet.com): LW 0327 2.2 ft, HW
// 1141 11.4 ft; at 0700 the tables give 5.8 ft, half-cosine 5.813.
TEST(HalfCosine, height_at_any_time_of_the_published_example) {
    constexpr double foot = 0.3048;
    const Prediction p = half_cosine({{utc("2003-10-01T03:27Z"), TideHeight::from_metres(2.2 * foot), false},
                                      {utc("2003-10-01T11:41Z"), TideHeight::from_metres(11.4 * foot), true}},
                                     {}, "Montague Harbour");
    const double feet = p.curve.height(utc("2003-10-01T07:00Z"))->metres() / foot;
    EXPECT_NEAR(feet, 5.8, 0.05);
    EXPECT_NEAR(feet, 5.813, 0.0005);
}

// LW 06:00 0.4 m, HW 12:12 5.2 m, at 09:00: phase 180/372 of half a turn, 0.4 + 2.4 (1 - 0.0506) = 2.678 m.
TEST(HalfCosine, worked_by_hand) {
    const Prediction p = half_cosine({tide_at(6.0, 0.4, false), tide_at(12.2, 5.2, true)}, {}, "");
    EXPECT_NEAR(p.curve.height(midnight + 9 * 3600.0)->metres(), 2.678, 0.0005);
}

TEST(HalfCosine, sixths_of_the_time_against_the_rule_of_twelfths) {
    const Prediction p = half_cosine({tide_at(0.0, 0.0, false), tide_at(6.0, 1.0, true)}, {}, "");
    double largest = 0.0;
    const auto rows = support::read_table(support::testdata() / "tide/twelfths.csv");
    ASSERT_EQ(rows.size(), 6U);
    for (const auto& row : rows) {
        const double h = p.curve.height(midnight + 3600.0 * number(row.at("sixth")))->metres();
        EXPECT_NEAR(h, number(row.at("half_cosine")), 0.00005);
        largest = std::max(largest, std::abs(h - number(row.at("twelfths")) / 12.0));
    }
    EXPECT_NEAR(largest, 1.0 / 12.0 - 0.5 * (1.0 - std::cos(std::numbers::pi / 6.0)),
                1e-7); // 1.63 % of the range
}

TEST(HalfCosine, dover_against_its_published_curve) {
    const Prediction p = half_cosine({{utc("2002-01-01T07:15Z"), TideHeight::from_metres(0.962), false},
                                      {utc("2002-01-01T12:01Z"), TideHeight::from_metres(6.696), true},
                                      {utc("2002-01-01T19:38Z"), TideHeight::from_metres(1.017), false}},
                                     {}, "Dover");
    double worst = 0.0;
    const auto rows = support::read_table(support::testdata() / "tide/dover_half_cosine.csv");
    ASSERT_EQ(rows.size(), 4U);
    for (const auto& row : rows) {
        const Instant t = utc("2002-01-01T" + row.at("time_UT") + ":00Z");
        EXPECT_NEAR(p.curve.height(t)->metres(), number(row.at("half_cosine_m")), 0.001);
        worst = std::max(worst, p.curve.height(t)->metres() - number(row.at("published_m")));
    }
    EXPECT_GT(worst, 0.14); // the error that makes such a tide a caution
    // Rise 4 h 46, fall 7 h 37.
    ASSERT_EQ(p.doubtful_shape.size(), 1U);
    EXPECT_TRUE(is_doubtful(p, utc("2002-01-01T08:00Z"), utc("2002-01-01T08:10Z")));
    EXPECT_FALSE(is_doubtful(p, utc("2002-01-01T19:39Z"), utc("2002-01-01T20:00Z")));
    ASSERT_EQ(p.notes.size(), 1U);
    expect_says(p.notes[0], {"1.5 h", "1 of 1", "2.9 h", "doubtful shape"});
}

TEST(HalfCosine, rise_and_fall_may_differ_by_an_hour_and_a_half) {
    const auto with_fall_of = [](double hours) {
        return half_cosine({tide_at(0, 0, false), tide_at(5, 4, true), tide_at(5 + hours, 1, false)}, {}, "");
    };
    EXPECT_TRUE(with_fall_of(6.5).doubtful_shape.empty());
    EXPECT_TRUE(with_fall_of(6.5).notes.empty());
    EXPECT_EQ(with_fall_of(6.51).doubtful_shape,
              (std::vector<TimeSpan>{{midnight, midnight + 3600.0 * 11.51}}));
    EXPECT_EQ(with_fall_of(3.49).doubtful_shape.size(), 1U);
}

TEST(HalfCosine, keeps_the_given_tides_and_the_shape_between_to_less_than_a_micrometre) {
    const std::vector<HighOrLow> tides{tide_at(0.1, 0.37, false), tide_at(6.31, 5.21, true),
                                       tide_at(12.77, 0.12, false), tide_at(18.9, 5.43, true)};
    const Prediction p = half_cosine(tides, {}, "");
    for (const auto& tide : tides)
        EXPECT_EQ(p.curve.height(tide.at), tide.height);
    EXPECT_EQ(p.curve.lowest(tides[0].at, tides[3].at)->height, tides[2].height);
    EXPECT_EQ(p.curve.highest(tides[0].at, tides[3].at)->height, tides[3].height);
    const auto turns = p.curve.extremes(tides[0].at, tides[3].at);
    ASSERT_EQ(turns.size(), 2U);
    for (std::size_t i = 0; i < 2; ++i) {
        EXPECT_EQ(turns[i].height, tides[i + 1].height);
        EXPECT_NEAR(turns[i].at - tides[i + 1].at, 0.0, 1e-6);
        EXPECT_EQ(turns[i].is_high, tides[i + 1].is_high);
    }
    double worst = 0.0;
    for (std::size_t i = 1; i < tides.size(); ++i)
        for (Instant t = tides[i - 1].at; t < tides[i].at; t = t + 17.0)
            worst =
                std::max(worst, std::abs(p.curve.height(t)->metres() - cosine(tides[i - 1], tides[i], t)));
    EXPECT_LT(worst, 5e-8 * 5.31);
    EXPECT_GT(worst, 0.0); // the comparison sees differences at all
}

// t = t_low + T/π · acos(1 - 2 (h - low)/range), in closed form, next to the turns too.
TEST(HalfCosine, crossings_are_exact_to_a_tenth_of_a_second) {
    const HighOrLow low = tide_at(1.0, 0.5, false), high = tide_at(7.3, 5.5, true);
    const Prediction p = half_cosine({low, high}, {}, "");
    for (const double level : {0.5001, 0.501, 0.51, 0.6, 1.0, 2.2, 3.0, 4.4, 5.4, 5.49, 5.499, 5.4999}) {
        const auto below = p.curve.below(TideHeight::from_metres(level), low.at, high.at);
        ASSERT_EQ(below.spans.size(), 1U);
        const double u = std::acos(1.0 - 2.0 * (level - 0.5) / 5.0) / std::numbers::pi;
        EXPECT_NEAR(below.spans[0].to - low.at, u * 6.3 * 3600.0, 0.1) << level;
    }
}

TEST(HalfCosine, nothing_is_known_outside_the_tides_or_where_one_is_missing) {
    // Low water of about 12:30 is missing.
    const Prediction p = half_cosine({tide_at(0.0, 0.4, false), tide_at(6.2, 5.2, true),
                                      tide_at(18.6, 5.0, true), tide_at(24.9, 0.5, false)},
                                     {}, "");
    EXPECT_FALSE(p.curve.height(midnight - 1.0));
    EXPECT_FALSE(p.curve.height(midnight + 25.0 * 3600.0));
    EXPECT_FALSE(p.curve.height(midnight + 12.0 * 3600.0));
    EXPECT_FALSE(p.curve.lowest(midnight, midnight + 24.0 * 3600.0));
    EXPECT_EQ(p.curve.unknown(midnight, midnight + 24.0 * 3600.0),
              (std::vector<TimeSpan>{{midnight + 6.2 * 3600.0, midnight + 18.6 * 3600.0}}));
    ASSERT_EQ(p.notes.size(), 1U);
    expect_says(p.notes[0], {"1 gap", "missing", "2026-06-01T06:12:00Z", "2026-06-01T18:36:00Z"});
}

TEST(HalfCosine, a_pair_missing_is_seen_by_the_time_between) {
    std::vector<HighOrLow> tides;
    for (int i = 0; i < 9; ++i)
        tides.push_back(tide_at(6.2 * i, i % 2 == 0 ? 0.4 : 5.2, i % 2 == 1));
    EXPECT_TRUE(half_cosine(tides, {}, "").notes.empty());
    tides.erase(tides.begin() + 3, tides.begin() + 5); // 18.6 h from low to high water
    const Prediction p = half_cosine(tides, {}, "");
    EXPECT_EQ(p.curve.unknown(tides.front().at, tides.back().at).size(), 1U);
    EXPECT_FALSE(p.curve.height(midnight + 20.0 * 3600.0));
    // Unless the caller knows better.
    EXPECT_TRUE(half_cosine(tides, 20.0 * 3600.0, "").curve.height(midnight + 20.0 * 3600.0));
}

// Pensacola, 20 March 2026 (testdata derived_noaa_practice_heights.csv): LW 01:39, HW 17:33, 15.9 h between.
TEST(HalfCosine, a_diurnal_tide_has_longer_intervals) {
    std::vector<HighOrLow> tides;
    for (int i = 0; i < 6; ++i)
        tides.push_back(tide_at(24.8 * (i / 2) + (i % 2 ? 15.9 : 0.0), i % 2 ? 0.25 : 0.02, i % 2 == 1));
    const Prediction p = half_cosine(tides, {}, "");
    EXPECT_TRUE(p.curve.unknown(tides.front().at, tides.back().at).empty());
    EXPECT_FALSE(p.doubtful_shape.empty());
}

TEST(HalfCosine, refuses_tides_out_of_order) {
    EXPECT_THROW(half_cosine({}, {}, ""), std::invalid_argument);
    EXPECT_THROW(half_cosine({tide_at(6, 1, true), tide_at(6, 0, false)}, {}, ""), std::invalid_argument);
    EXPECT_TRUE(half_cosine({tide_at(6, 1, true)}, {}, "").curve.pieces().empty());
}

TEST(HighLowTable, reads_utc_and_clock_times_in_a_zone) {
    const auto t = table_of("2026-06-01T06:12Z,HW,5.2\n2026-06-01T12:20:30Z,LW,0.4\n");
    ASSERT_EQ(t.tides.size(), 2U);
    EXPECT_EQ(t.source, "port.csv");
    EXPECT_EQ(t.tides[0].at, utc("2026-06-01T06:12Z"));
    EXPECT_TRUE(t.tides[0].is_high);
    EXPECT_EQ(t.tides[1].at, utc("2026-06-01T12:20:30Z"));
    EXPECT_EQ(t.tides[1].height, TideHeight::from_metres(0.4));
    EXPECT_FALSE(t.tides[1].is_high || t.datum);
    const auto local =
        table_of("2026-06-01 07:12,HW,5.2\n2026-06-01T12:20Z,LW,0.4\n", TimeZone("Europe/London"));
    EXPECT_EQ(local.tides[0].at, utc("2026-06-01T06:12Z"));
    EXPECT_EQ(local.tides[1].at, utc("2026-06-01T12:20Z"));
    EXPECT_EQ(
        table_of("2026-06-01T06:12Z,HW,5.2,12\n2026-06-01T12:20Z,LW,0.4,12\n", {}, "time,kind,height_m,datum")
            .datum,
        12);
}

// The summer time of London ends on 25 October 2026 at 01:00 UTC.
TEST(HighLowTable, refuses_with_one_message_that_names_the_line) {
    const TimeZone london("Europe/London");
    const std::string hw = "2026-06-01T06:12Z,HW,5.2\n", lw = "2026-06-01T12:20Z,LW,0.4\n";
    expect_says(refusal(lw + hw), {"port.csv", "line 4", "time", "earlier than the row before", "in order"});
    expect_says(refusal(hw + lw + lw), {"line 5", "the same time as the row before"});
    expect_says(refusal(hw + "2026-06-01T12:20Z,HW,5.0\n"),
                {"line 4", "kind", "two high waters in a row, 6.1 h apart", "in turn"});
    expect_says(refusal(hw + "2026-06-01T12:20Z,LW,5.3\n"),
                {"line 4", "5.20 m is below the low water of 5.30"});
    expect_says(refusal(hw), {"port.csv", "1 tides make no curve"});
    expect_says(refusal(""), {"0 tides"});
    expect_says(refusal(hw + "2026-06-01T12:20Z,low,0.4\n"), {"line 4", "\"low\" is no kind", "HW or LW"});
    expect_says(refusal(hw + "2026-06-01T12:20Z,LW,40\n"), {"line 4", "height_m", "40"});
    expect_says(refusal(hw + "2026-06-01T12:20Z,LW,\n"), {"line 4", "height_m"});
    expect_says(refusal(hw + "2026-06-01 12:20,LW,0.4\n"), {"line 4", "names no zone"});
    expect_says(refusal("2026-10-25 01:30,HW,5.2\n", london), {"line 3", "twice"});
    expect_says(refusal("2026-06-31 01:30,HW,5.2\n", london), {"line 3", "time"});
    expect_says(refusal(hw, {}, "time,sort,height_m"), {"kind"});
    const std::string columns = "time,kind,height_m,datum";
    expect_says(refusal("2026-06-01T06:12Z,HW,5.2,31\n", {}, columns), {"line 3", "31", "VERDAT"});
    expect_says(refusal("2026-06-01T06:12Z,HW,5.2,2.5\n", {}, columns), {"line 3", "2.5"});
    expect_says(refusal("2026-06-01T06:12Z,HW,5.2,23\n2026-06-01T12:20Z,LW,0.4,12\n", {}, columns),
                {"line 4", "one datum for the whole table"});
}

TEST(HighLowTable, two_of_a_kind_nine_hours_apart_are_a_tide_missing) {
    const auto t = table_of("2026-06-01T06:12Z,HW,5.2\n2026-06-01T18:40Z,HW,5.0\n2026-06-02T00:50Z,LW,0.4\n");
    EXPECT_EQ(t.tides.size(), 3U);
    const Prediction p = half_cosine(t.tides, {}, "");
    EXPECT_FALSE(p.curve.height(utc("2026-06-01T12:00Z")));
    EXPECT_TRUE(p.curve.height(utc("2026-06-01T20:00Z")));
}
