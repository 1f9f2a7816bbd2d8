// Stream panels over the tides of their station.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"
#include "dangerline/sea/panel.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::sea;

namespace {

constexpr double hour = 3600.0;
const Instant high = start_of({2026, 7, 15}) + 12 * hour;

/// HW every 12 h 25 min of `range` metres over LW at 0.5 m, LW half way; HW at `high`.
std::vector<tide::HighOrLow> tides(double range_m, int days = 2) {
    std::vector<tide::HighOrLow> out;
    const double half = 745.0 * 30.0;
    for (int k = -4 * days; k <= 4 * days; ++k)
        out.push_back(
            {high + half * k, TideHeight::from_metres(k % 2 == 0 ? 0.5 + range_m : 0.5), k % 2 == 0});
    return out;
}

Panel alternating(double springs_kn, std::optional<double> neaps_kn = {}) {
    Panel panel;
    for (std::size_t i = 0; i < 13; ++i)
        panel.hours[i] = {i < 6 ? 90.0 : 270.0, springs_kn * mps_per_knot,
                          neaps_kn ? std::optional(*neaps_kn * mps_per_knot) : std::nullopt};
    return panel;
}

double knots(const Series& series, Instant t) {
    const auto there = series.value(t);
    return there ? there->rate_mps() / mps_per_knot : -1.0;
}

std::string panel_text(const std::string& reference, int pairs = 13) {
    std::string text = "X14,Lanner Bay," + reference;
    for (int i = 0; i < pairs; ++i)
        text += "," + std::to_string(10 * i) + ",1." + std::to_string(i % 10);
    return text;
}

} // namespace

// Rate 2.4 kn at springs of 4.6 m, range of the day 5.3: 2.4 x 5.3/4.6 = 2.77 kn. With 1.2 kn at neaps of 2.2
// m: 1.2 + 1.2 x 3.1/2.4 = 2.75 kn. Holding it at 2.4 would be wrong.
TEST(Panel, rates_go_on_above_springs) {
    const Instant t = high + 2 * hour;
    EXPECT_NEAR(knots(panel_series(alternating(2.4), tides(5.3), {4.6, {}}, t, t), t), 2.77, 0.005);
    EXPECT_NEAR(knots(panel_series(alternating(2.4, 1.2), tides(5.3), {4.6, 2.2}, t, t), t), 2.75, 0.005);
    // Below neaps: no less than at neaps; without neap rates no less than half.
    EXPECT_NEAR(knots(panel_series(alternating(2.4, 1.2), tides(1.0), {4.6, 2.2}, t, t), t), 1.2, 1e-6);
    EXPECT_NEAR(knots(panel_series(alternating(2.4), tides(1.0), {4.6, {}}, t, t), t), 1.2, 1e-6);
}

// Published: Plymouth, 1 June 2020, range 4.9 - 1.8 = 3.1 m, mean spring range 4.73 m, spring rate 1.7 kn:
// factor 0.655, 1.1 kn (bookdown.org/rbown250/sea_kayak_navigation). The formula with both rates from the
// same page: neap + (spring - neap) x (range - neap range)/(spring range - neap range).
TEST(Panel, published_rates) {
    const PanelHour single{0.0, 1.7, {}}, both{0.0, 1.7, 0.8};
    EXPECT_NEAR(rate_of_day(single, {4.73, {}}, 3.1), 1.1, 0.05);
    EXPECT_NEAR(rate_of_day(single, {4.73, {}}, 3.1) / 1.7, 0.655, 0.001);
    EXPECT_NEAR(rate_of_day(both, {4.73, 2.2}, 3.1), 0.8 + 0.9 * (3.1 - 2.2) / (4.73 - 2.2), 1e-12);
    EXPECT_EQ(rate_of_day(both, {4.73, 2.2}, 4.73), 1.7);
    EXPECT_EQ(rate_of_day(both, {4.73, 2.2}, 2.2), 0.8);
}

// The 50/90 rule (0, 50, 90, 100, 90, 50, 0 % at the end of each hour) and the rule of thirds (mean rate of
// each hour 1, 2, 3, 3, 2, 1 thirds of the largest) as printed at
// nauticalcharts.com/rules-of-thumb-for-tides-5090-thirds- twelfths, against a panel made of the sine they
// stand for.
TEST(Panel, rules_of_thumb_against_the_sine) {
    Panel panel;
    for (std::size_t i = 0; i < 13; ++i) {
        const double v = std::sin(std::numbers::pi * (static_cast<double>(i) - 6.0) / 6.0);
        panel.hours[i] = {v < 0.0 ? 270.0 : 90.0, std::abs(v), {}};
    }
    const auto series = panel_series(panel, tides(4.0), {4.0, {}}, high, high + 6 * hour);
    const double rule[] = {0.0, 0.5, 0.9, 1.0, 0.9, 0.5, 0.0};
    for (int h = 0; h <= 6; ++h)
        EXPECT_NEAR(series.value(high + h * hour)->east_mps, rule[h], 0.035);
    const double thirds[] = {1.0 / 3, 2.0 / 3, 1.0, 1.0, 2.0 / 3, 1.0 / 3};
    for (int h = 0; h < 6; ++h) {
        double mean = 0.0;
        for (int k = 0; k < 60; ++k)
            mean += series.value(high + h * hour + (k + 0.5) * 60.0)->east_mps / 60.0;
        EXPECT_NEAR(mean, thirds[h], 0.085);
    }
}

TEST(Panel, hours_count_from_the_nearest_tide_and_join_the_next) {
    const auto series =
        panel_series(alternating(2.0), tides(4.0), {4.0, {}}, high - 24 * hour, high + 24 * hour);
    EXPECT_NEAR(series.value(high - 3 * hour)->set_deg(), 90.0, 1e-4);
    EXPECT_NEAR(series.value(high + 3 * hour)->set_deg(), 270.0, 1e-4);
    // 12 h 25 min between high waters leave 25 minutes between the sixth hours, from 270 to 90 degrees.
    EXPECT_NEAR(series.value(high + 6.0 * hour)->east_mps, -2.0 * mps_per_knot, 1e-6);
    EXPECT_LT(std::abs(series.value(high + 745.0 * 30.0)->east_mps), 0.5 * mps_per_knot);
    EXPECT_NEAR(series.value(high + 745.0 * 60.0 - 6.0 * hour)->east_mps, 2.0 * mps_per_knot, 0.5);
    // Low water panels.
    Panel low = alternating(2.0);
    low.from_low_water = true;
    const Instant low_water = high + 745.0 * 30.0;
    const auto by_low = panel_series(low, tides(4.0), {4.0, {}}, high - 24 * hour, high + 24 * hour);
    EXPECT_NEAR(by_low.value(low_water - 3 * hour)->set_deg(), 90.0, 1e-4);
    EXPECT_NEAR(by_low.value(low_water + 3 * hour)->set_deg(), 270.0, 1e-4);
}

TEST(Panel, a_missing_tide_is_not_known) {
    auto some = tides(4.0);
    std::erase_if(some, [](const auto& e) { return e.is_high && std::abs(e.at - high) < hour; });
    const auto series = panel_series(alternating(2.0), some, {4.0, {}}, high - 24 * hour, high + 24 * hour);
    EXPECT_FALSE(series.value(high));
    EXPECT_TRUE(series.value(high + 12.0 * hour));
    EXPECT_FALSE(panel_series(alternating(2.0), {}, {4.0, {}}, high, high + hour).value(high));
    EXPECT_FALSE(series.value(high + 25 * hour));
}

TEST(Panel, texts_of_charts) {
    std::string why;
    const auto panel = parse_panel(panel_text("HW"), why);
    ASSERT_TRUE(panel) << why;
    EXPECT_EQ(panel->station, "Lanner Bay");
    EXPECT_FALSE(panel->from_low_water);
    EXPECT_EQ(panel->hours[12].set_deg, 120.0);
    EXPECT_NEAR(panel->hours[3].springs_mps, 1.3 * mps_per_knot, 1e-12);
    EXPECT_TRUE(parse_panel(panel_text("LW"), why)->from_low_water);
    for (const std::string& bad :
         {std::string(), panel_text("HW", 12), panel_text("HW", 14), panel_text("XX"),
          panel_text("HW", 12) + ",400,1.0", panel_text("HW", 12) + ",90,fast"}) {
        why.clear();
        EXPECT_FALSE(parse_panel(bad, why)) << bad;
        EXPECT_FALSE(why.empty());
    }
}

TEST(Panel, tables) {
    const support::TemporaryFolder folder;
    std::string rows = "# Gannet Head\nhour,set_deg,springs_kn,neaps_kn\n";
    for (int h = -6; h <= 6; ++h)
        rows += std::to_string(h) + ",100,2." + std::to_string(std::abs(h)) + ",1.0\n";
    const auto panel = read_panel(folder.file("p.csv", rows));
    EXPECT_NEAR(panel.hours[0].springs_mps, 2.6 * mps_per_knot, 1e-12);
    EXPECT_NEAR(*panel.hours[6].neaps_mps, mps_per_knot, 1e-12);
    int n = 0;
    for (const std::string& bad :
         {rows + "6,100,2.0,1.0\n", rows.substr(0, rows.size() - 13), rows + "7,100,2.0,1.0\n",
          rows + "0.5,100,2.0,1.0\n", std::string("hour,set_deg\n0,1\n")})
        EXPECT_THROW(read_panel(folder.file("b" + std::to_string(n++) + ".csv", bad)), Failure) << bad;
}
