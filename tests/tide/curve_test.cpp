#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>
#include <stdexcept>

#include "dangerline/tide/curve.hpp"
#include "tide/stations.hpp"

using namespace dangerline;
using namespace dangerline::tide;
using stations::utc;

namespace {

const Instant noon = utc("2026-06-01T12:00:00Z");
const Instant new_year = utc("2027-01-01T00:00:00Z");

TideHeight metres(double m) {
    return TideHeight::from_metres(m);
}

/// Straight lines through heights one hour apart: a piece for each hour.
Curve straight(Instant start, const std::vector<double>& heights) {
    std::vector<Piece> pieces;
    for (std::size_t i = 0; i + 1 < heights.size(); ++i) {
        const double rate = (heights[i + 1] - heights[i]) / 3600.0;
        pieces.push_back(
            {start + 3600.0 * static_cast<double>(i), 3600.0, {heights[i], heights[i + 1]}, {rate, rate}});
    }
    return Curve::from_pieces(pieces, "invented");
}

Curve seattle_over_new_year() {
    return Curve::harmonic(stations::noaa(stations::seattle), stations::msl_above_mllw(stations::seattle),
                           new_year - 5 * 86400.0, new_year + 5 * 86400.0);
}

bool inside(const std::vector<TimeSpan>& spans, Instant t) {
    for (const auto& s : spans)
        if (s.from <= t && t <= s.to)
            return true;
    return false;
}

double nearest_end(const std::vector<TimeSpan>& spans, Instant t) {
    double least = 1e9;
    for (const auto& s : spans)
        least = std::min({least, std::abs(s.from - t), std::abs(s.to - t)});
    return least;
}

} // namespace

TEST(Curve, fixed_height_holds_always) {
    const Curve c = Curve::fixed(metres(-0.4), "chosen");
    EXPECT_TRUE(c.is_fixed());
    EXPECT_EQ(c.note(), "chosen");
    EXPECT_EQ(c.height(noon), metres(-0.4));
    EXPECT_EQ(c.rate(noon), 0.0);
    EXPECT_EQ(c.lowest(noon, noon + 1e9)->height, metres(-0.4));
    EXPECT_EQ(c.highest(noon, noon + 1e9)->height, metres(-0.4));
    EXPECT_FALSE(c.lowest(noon, noon - 1.0));
    EXPECT_TRUE(c.extremes(noon, noon + 1e6).empty());
    EXPECT_EQ(c.below(metres(-0.3), noon, noon + 9.0).spans, (std::vector<TimeSpan>{{noon, noon + 9.0}}));
    EXPECT_TRUE(c.below(metres(-0.4), noon, noon + 9.0).spans.empty());
    EXPECT_EQ(c.below(TideHeight::infinite(), noon, noon + 9.0).spans.size(), 1U);
    EXPECT_TRUE(c.below(metres(0.0), noon, noon + 9.0).unknown.empty());
    EXPECT_THROW(Curve::fixed(TideHeight::infinite(), ""), std::invalid_argument);
}

// A departure after the last row of the table is unknown; the last value is never held.
TEST(Curve, outside_its_data_everything_is_unknown) {
    const Curve c = straight(noon, {1.0, 2.0, 1.5});
    const Instant end = noon + 7200.0;
    EXPECT_TRUE(c.height(noon));
    EXPECT_TRUE(c.height(end));
    for (const Instant t : {noon - 0.01, end + 0.01}) {
        EXPECT_FALSE(c.height(t));
        EXPECT_FALSE(c.rate(t));
        EXPECT_FALSE(c.lowest(t, t));
    }
    EXPECT_TRUE(c.lowest(noon, end));
    EXPECT_FALSE(c.lowest(noon, end + 0.01));
    EXPECT_FALSE(c.highest(noon - 0.01, end));
    const Below b = c.below(TideHeight::infinite(), noon - 60.0, end + 60.0);
    EXPECT_EQ(b.spans, (std::vector<TimeSpan>{{noon, end}}));
    EXPECT_EQ(b.unknown, (std::vector<TimeSpan>{{noon - 60.0, noon}, {end, end + 60.0}}));
    EXPECT_EQ(c.unknown(end + 1.0, end + 2.0), (std::vector<TimeSpan>{{end + 1.0, end + 2.0}}));
    EXPECT_EQ(c.unknown(end + 1.0, end + 1.0).size(), 1U);
    EXPECT_TRUE(c.unknown(end, end).empty());
    EXPECT_TRUE(c.below(metres(9.0), end + 1.0, end + 2.0).spans.empty());
}

TEST(Curve, a_gap_between_pieces_is_unknown) {
    const Curve c = Curve::from_pieces(
        {{noon, 600.0, {0.0, 1.0}, {0.0, 0.0}}, {noon + 1200.0, 600.0, {1.0, 0.0}, {0.0, 0.0}}},
        "two pieces");
    EXPECT_FALSE(c.height(noon + 900.0));
    EXPECT_FALSE(c.lowest(noon, noon + 1800.0));
    EXPECT_TRUE(c.lowest(noon + 1200.0, noon + 1800.0));
    EXPECT_EQ(c.unknown(noon, noon + 1800.0), (std::vector<TimeSpan>{{noon + 600.0, noon + 1200.0}}));
    EXPECT_TRUE(c.extremes(noon, noon + 1800.0).empty()); // it may have gone on rising in the gap
    EXPECT_EQ(c.below(metres(2.0), noon, noon + 1800.0).spans.size(), 2U);
}

TEST(Curve, refuses_broken_pieces) {
    const auto make = [](std::vector<Piece> p) { return Curve::from_pieces(std::move(p), ""); };
    EXPECT_THROW(make({}), std::invalid_argument);
    EXPECT_THROW(make({{noon, 600.0, {1.0}, {0.0}}}), std::invalid_argument);
    EXPECT_THROW(make({{noon, 600.0, {1.0, 2.0}, {0.0}}}), std::invalid_argument);
    EXPECT_THROW(make({{noon, 0.0, {1.0, 2.0}, {0.0, 0.0}}}), std::invalid_argument);
    EXPECT_THROW(make({{noon, 600.0, {1.0, std::nan("")}, {0.0, 0.0}}}), std::invalid_argument);
    EXPECT_THROW(make({{noon, 600.0, {1.0, 2.0}, {0.0, 0.0}}, {noon + 300.0, 600.0, {1.0, 2.0}, {0.0, 0.0}}}),
                 std::invalid_argument);
    EXPECT_THROW(straight(noon, {1.0, 2.0}).below(metres(std::nan("")), noon, noon), std::invalid_argument);
}

// Falling 1.3 m an hour: 15 minutes of doubt are 0.325 m.
TEST(Curve, rate_of_a_steady_fall) {
    const Curve c = straight(noon, {3.65, 2.35, 1.05});
    EXPECT_NEAR(c.rate(noon + 3600.0).value() * 900.0, -0.325, 1e-12);
    EXPECT_NEAR(c.height(noon + 3600.0)->metres(), 2.35, 1e-12);
    const auto b = c.below(metres(2.0), noon, noon + 7200.0);
    ASSERT_EQ(b.spans.size(), 1U);
    EXPECT_NEAR(b.spans[0].from - noon, 3600.0 * (1.65 / 1.3), 1e-3);
    EXPECT_EQ(b.spans[0].to, noon + 7200.0);
}

// A pure sine of 5 m range has its turning points and crossings in closed form.
TEST(Curve, turning_points_and_crossings_of_a_sine) {
    const double w = 2.0 * std::numbers::pi / 44712.0; // 12.42 h
    Piece p{noon, 600.0, {}, {}};
    for (int i = 0; i <= 200; ++i) {
        p.height_m.push_back(2.5 * std::sin(w * 600.0 * i));
        p.rate_mps.push_back(2.5 * w * std::cos(w * 600.0 * i));
    }
    const Curve c = Curve::from_pieces({p}, "sine");
    const auto turns = c.extremes(noon, noon + 120000.0);
    ASSERT_EQ(turns.size(), 5U);
    for (std::size_t i = 0; i < turns.size(); ++i) {
        EXPECT_EQ(turns[i].is_high, i % 2 == 0);
        EXPECT_NEAR(turns[i].at - noon, 44712.0 * (0.25 + 0.5 * static_cast<double>(i)), 0.5);
        EXPECT_NEAR(turns[i].height.metres(), i % 2 == 0 ? 2.5 : -2.5, 2e-6);
    }
    const auto low = c.lowest(noon, noon + 120000.0);
    EXPECT_NEAR(low->height.metres(), -2.5, 2e-6);
    EXPECT_EQ(low->at, turns[1].at);
    const auto b = c.below(metres(1.25), noon, noon + 44712.0);
    ASSERT_EQ(b.spans.size(), 2U); // sin = 1/2 at 30 and 150 degrees
    EXPECT_NEAR(b.spans[0].to - noon, 44712.0 / 12.0, 0.1);
    EXPECT_NEAR(b.spans[1].from - noon, 44712.0 * 5.0 / 12.0, 0.1);
    EXPECT_TRUE(c.below(metres(-2.6), noon, noon + 44712.0).spans.empty());
}

// Dover, 1 January 2002 (UK sample of tide data, format 13): published low water 07:15, 0.962 m.
TEST(Curve, low_water_of_published_samples) {
    Piece p{utc("2002-01-01T00:00:00Z"), 600.0, {}, {}};
    for (const auto& row : support::read_table(support::testdata() / "tide/dover_2002_01_01.csv"))
        p.height_m.push_back(stations::number(row.at("height_m_above_CD")));
    const auto& h = p.height_m;
    ASSERT_EQ(h.size(), 49U);
    for (std::size_t i = 0; i < h.size(); ++i) // central differences, one-sided at the ends
        p.rate_mps.push_back(i == 0              ? (h[1] - h[0]) / 600.0
                             : i + 1 == h.size() ? (h[i] - h[i - 1]) / 600.0
                                                 : (h[i + 1] - h[i - 1]) / 1200.0);
    const auto turns = Curve::from_pieces({p}, "Dover").extremes(p.start, p.end());
    ASSERT_EQ(turns.size(), 1U);
    EXPECT_FALSE(turns[0].is_high);
    EXPECT_NEAR(turns[0].at - utc("2002-01-01T07:15:00Z"), 0.0, 30.0);
    EXPECT_NEAR(turns[0].height.metres(), 0.962, 0.001);
}

TEST(Curve, level_stretches_are_one_extreme_or_none) {
    const Curve stand = straight(noon, {1.0, 2.0, 2.0, 2.0, 0.5});
    auto turns = stand.extremes(noon, noon + 4 * 3600.0);
    ASSERT_EQ(turns.size(), 1U);
    EXPECT_TRUE(turns[0].is_high);
    EXPECT_NEAR(turns[0].at - noon, 2 * 3600.0, 1e-3);
    EXPECT_EQ(turns[0].height, metres(2.0));
    EXPECT_TRUE(straight(noon, {1.0, 2.0, 2.0, 3.0}).extremes(noon, noon + 3 * 3600.0).empty());
    EXPECT_TRUE(straight(noon, {1.0, 1.0, 1.0}).extremes(noon, noon + 7200.0).empty());
    EXPECT_TRUE(stand.below(metres(2.0), noon + 3600.0, noon + 3 * 3600.0).spans.empty());
    EXPECT_EQ(stand.below(metres(2.0 + 1e-9), noon, noon + 4 * 3600.0).spans.size(), 1U);
}

TEST(Curve, a_jump_through_a_level_is_a_crossing) {
    const std::vector<Piece> up{{noon, 600.0, {1.0, 1.2}, {2e-4, 4e-4}},
                                {noon + 600.0, 600.0, {1.5, 1.8}, {5e-4, 5e-4}}};
    const Curve c = Curve::from_pieces(up, "jump up");
    const Instant at = noon + 600.0;
    EXPECT_EQ(c.height(at), metres(1.5)); // the later piece's
    EXPECT_EQ(c.lowest(at, at)->height, metres(1.2));
    EXPECT_EQ(c.highest(at, at)->height, metres(1.5));
    EXPECT_EQ(c.lowest(at, at + 60.0)->height, metres(1.2));
    EXPECT_EQ(c.highest(at - 60.0, at)->height, metres(1.5));
    EXPECT_EQ(c.below(metres(1.4), noon, noon + 1200.0).spans, (std::vector<TimeSpan>{{noon, at}}));
    EXPECT_TRUE(c.unknown(noon, noon + 1200.0).empty());
    EXPECT_TRUE(c.extremes(noon, noon + 1200.0).empty());
}

// NOAA practice: f and u change at New Year.
TEST(Curve, new_year_is_kept_as_a_jump) {
    const Constants constants = stations::noaa(stations::seattle);
    const double z0 = stations::msl_above_mllw(stations::seattle);
    const Curve c = seattle_over_new_year();
    ASSERT_EQ(c.pieces().size(), 2U);
    EXPECT_EQ(c.pieces()[0].end(), new_year);
    EXPECT_EQ(c.pieces()[1].start, new_year);
    const double before = c.pieces()[0].height_m.back(), after = c.pieces()[1].height_m.front();
    EXPECT_GT(std::abs(after - before), 0.002);
    EXPECT_LT(std::abs(after - before), 0.1);
    EXPECT_EQ(c.height(new_year), metres(after));
    EXPECT_NEAR(after, direct_height(constants, z0, new_year).metres(), 1e-9);
    EXPECT_NEAR(c.height(new_year - 0.001)->metres(), before, 1e-6);
    EXPECT_EQ(c.lowest(new_year, new_year)->height, metres(std::min(before, after)));
    EXPECT_EQ(c.highest(new_year, new_year)->height, metres(std::max(before, after)));
    const double between = 0.5 * (before + after);
    const auto spans = c.below(metres(between), new_year - 300.0, new_year + 300.0).spans;
    EXPECT_LT(nearest_end(spans, new_year), 300.0);
    EXPECT_TRUE(c.unknown(new_year - 86400.0, new_year + 86400.0).empty());
    // To New Year exactly: the old year's last node, no new year.
    EXPECT_EQ(Curve::harmonic(constants, z0, new_year - 3600.0, new_year).pieces().size(), 1U);
    EXPECT_EQ(Curve::harmonic(constants, z0, new_year, new_year).height(new_year), metres(after));
}

TEST(Curve, a_jump_makes_no_tide_of_its_own) {
    const Instant at = noon + 3600.0;
    // High water, three minutes of fall, the jump, three minutes of rise, high water.
    const std::vector<Piece> p{{noon, 1800.0, {1.0, 2.0, 1.99}, {1e-3, 0.0, -1e-5}},
                               {at, 1800.0, {1.985, 1.995, 1.0}, {1e-5, 0.0, -1e-3}}};
    const auto turns = Curve::from_pieces(p, "").extremes(noon, noon + 7200.0);
    ASSERT_EQ(turns.size(), 1U);
    EXPECT_TRUE(turns[0].is_high);
    EXPECT_EQ(turns[0].height, metres(2.0));
    int highs = 0, lows = 0;
    bool last_high = false;
    for (const auto& turn :
         seattle_over_new_year().extremes(new_year - 5 * 86400.0, new_year + 5 * 86400.0)) {
        EXPECT_TRUE(highs + lows == 0 || turn.is_high != last_high);
        last_high = turn.is_high;
        (turn.is_high ? highs : lows)++;
    }
    EXPECT_NEAR(highs, 19.3, 1.0); // ten days of 24.84 h lunar days, two of each
    EXPECT_NEAR(lows, 19.3, 1.0);
}

// The same answer by stepping: spans below a level every 5 s over New Year.
TEST(Curve, crossings_agree_with_stepping) {
    const Curve c = seattle_over_new_year();
    const Instant from = new_year - 3 * 86400.0, to = new_year + 3 * 86400.0;
    for (const double level : {-1.0, 0.4, 1.3, 2.024, 2.8, 3.3, 3.6, 9.0}) {
        const Below b = c.below(metres(level), from, to);
        EXPECT_TRUE(b.unknown.empty());
        for (std::size_t i = 0; i < b.spans.size(); ++i) {
            EXPECT_LT(b.spans[i].from, b.spans[i].to);
            EXPECT_TRUE(i == 0 || b.spans[i - 1].to < b.spans[i].from);
            for (const Instant end : {b.spans[i].from, b.spans[i].to}) {
                const bool is_crossing = end > from && end < to && std::abs(end - new_year) > 1.0;
                EXPECT_NEAR(is_crossing ? c.height(end)->metres() : level, level, 1e-8);
            }
        }
        int wrong = 0;
        for (Instant t = from; t < to; t = t + 5.0)
            if ((c.height(t)->metres() < level) != inside(b.spans, t) && nearest_end(b.spans, t) > 0.1)
                ++wrong;
        EXPECT_EQ(wrong, 0) << level;
    }
}

// Extremes of random spans against stepping every 2 s, ends included (seed fixed).
TEST(Curve, lowest_and_highest_agree_with_stepping) {
    const Curve c = seattle_over_new_year();
    std::mt19937 random(7);
    std::uniform_real_distribution<double> start(-4 * 86400.0, 4 * 86400.0), length(0.0, 30000.0);
    for (int i = 0; i < 100; ++i) {
        const Instant from = new_year + start(random), to = from + length(random) * (i % 5 == 0 ? 0.01 : 1.0);
        const auto low = c.lowest(from, to), high = c.highest(from, to);
        ASSERT_TRUE(low && high);
        double least = 99.0, most = -99.0;
        for (Instant t = from; t < to; t = t + 2.0) {
            least = std::min(least, c.height(t)->metres());
            most = std::max(most, c.height(t)->metres());
        }
        least = std::min(least, c.height(to)->metres());
        most = std::max(most, c.height(to)->metres());
        EXPECT_LE(low->height.metres(), least + 1e-12);
        EXPECT_GE(high->height.metres(), most - 1e-12);
        EXPECT_NEAR(low->height.metres(), least, 5e-4); // 2 s of the fastest rise, before a jump
        EXPECT_NEAR(high->height.metres(), most, 5e-4);
        EXPECT_TRUE(low->at >= from && low->at <= to && high->at >= from && high->at <= to);
    }
}
