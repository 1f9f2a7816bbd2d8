#include "dangerline/tide/series.hpp"

#include <cmath>
#include <numbers>

#include <fmt/format.h>
#include <gtest/gtest.h>

#include "dangerline/base/error.hpp"
#include "dangerline/tide/weather.hpp"
#include "tide/stations.hpp"

using namespace dangerline;
using namespace dangerline::tide;
using stations::utc;

namespace {

Series series(const std::string& rows, double longest_s = longest_step_s) {
    return series_from(files::Table::parse("sea.csv", "time,height_m\n" + rows), std::nullopt, longest_s);
}

std::string refusal(const std::string& rows) {
    try {
        series(rows);
    } catch (const Failure& failure) {
        return failure.what();
    }
    return "nothing thrown";
}

} // namespace

// Dover, 1 January 2002 (UK sample of tide data, format 13): published low water 07:15, 0.962 m.
TEST(Series, low_water_of_dover_from_its_published_points) {
    std::string rows;
    for (const auto& row : support::read_table(support::testdata() / "tide/dover_2002_01_01.csv"))
        rows += "2002-01-01T" + row.at("time_UT") + "Z," + row.at("height_m_above_CD") + "\n";
    const Series s = series(rows);
    const auto low = s.prediction.curve.lowest(utc("2002-01-01T00:00Z"), utc("2002-01-01T08:00Z"));
    ASSERT_TRUE(low);
    EXPECT_NEAR(low->at - utc("2002-01-01T07:15Z"), 0.0, 30.0);
    EXPECT_NEAR(low->height.metres(), 0.962, 0.001);
    EXPECT_EQ(s.prediction.curve.height(utc("2002-01-01T07:40Z")), TideHeight::from_metres(1.018));
    EXPECT_TRUE(s.prediction.notes.empty());
}

TEST(Series, hourly_points_of_a_sine_are_joined_within_the_claim) {
    std::string rows;
    const double w = 2.0 * std::numbers::pi / 44712.0;
    const Instant start = utc("2026-06-01T00:00Z");
    for (int i = 0; i <= 48; ++i)
        rows += fmt::format("{},{:.6f}\n", to_iso_utc(start + 3600.0 * i), 2.5 * std::sin(w * 3600.0 * i));
    const Series s = series(rows);
    double worst = 0.0;
    for (double t = 3600.0; t < 47.0 * 3600.0; t += 60.0)
        worst =
            std::max(worst, std::abs(s.prediction.curve.height(start + t)->metres() - 2.5 * std::sin(w * t)));
    EXPECT_LT(worst, 0.006 * 5.0);
    EXPECT_GT(worst, 0.001 * 5.0); // the claim is not far too wide
}

TEST(Series, uneven_points_of_a_parabola_are_its_own) {
    const Instant start = utc("2026-06-01T00:00Z");
    std::string rows;
    for (const double minutes : {0.0, 10.0, 25.0, 30.0, 80.0, 100.0})
        rows +=
            fmt::format("{},{:.9f}\n", to_iso_utc(start + 60.0 * minutes), std::pow(minutes / 60.0 - 0.7, 2));
    const Series s = series(rows);
    for (double minutes = 10.0; minutes <= 80.0; minutes += 1.0)
        EXPECT_NEAR(s.prediction.curve.height(start + 60.0 * minutes)->metres(),
                    std::pow(minutes / 60.0 - 0.7, 2), 1e-8);
}

TEST(Series, gaps_and_ends_are_unknown) {
    const Series s = series("2026-06-01T00:00Z,1.0\n2026-06-01T01:00Z,1.5\n2026-06-01T02:01Z,1.6\n"
                            "2026-06-01T03:00Z,1.2\n");
    const auto& curve = s.prediction.curve;
    EXPECT_TRUE(curve.height(utc("2026-06-01T00:30Z")));
    EXPECT_FALSE(curve.height(utc("2026-06-01T01:30Z")));
    EXPECT_TRUE(curve.height(utc("2026-06-01T02:30Z")));
    EXPECT_FALSE(curve.height(utc("2026-06-01T03:00:01Z")));
    ASSERT_EQ(s.prediction.notes.size(), 1U);
    EXPECT_NE(s.prediction.notes[0].find("more than 60 min apart once"), std::string::npos);
    // A point alone between gaps carries nothing.
    const Series lone = series("2026-06-01T00:00Z,1.0\n2026-06-01T05:00Z,1.5\n2026-06-01T10:00Z,1.6\n");
    EXPECT_FALSE(lone.prediction.curve.height(utc("2026-06-01T05:00Z")));
    EXPECT_TRUE(series("2026-06-01T00:00Z,1.0\n2026-06-01T05:00Z,1.5\n", 5 * 3600.0)
                    .prediction.curve.height(utc("2026-06-01T03:00Z")));
}

TEST(Series, refuses_with_the_line) {
    const auto says = [](const std::string& rows, const std::string& words) {
        EXPECT_NE(refusal(rows).find(words), std::string::npos) << refusal(rows);
    };
    says("2026-06-01T01:00Z,1.0\n2026-06-01T00:00Z,1.5\n", "line 3");
    says("2026-06-01T01:00Z,1.0\n2026-06-01T00:00Z,1.5\n", "earlier than the row before");
    says("2026-06-01T01:00Z,1.0\n2026-06-01T01:00Z,1.0\n", "the same time");
    says("2026-06-01T01:00Z,1.0\n", "1 points make no curve");
    says("2026-06-01 01:00,1.0\n2026-06-01T02:00Z,1.0\n", "names no zone");
}

// A table tide of 2.10 m, pressure 1033 hPa over a mean of 1013: 1.90 m. Drying 0.6 m then leaves 1.30 m.
TEST(Weather, high_pressure_lowers_the_sea) {
    const Weather weather{.pressure_hpa = 1033.0, .mean_pressure_hpa = 1013.0};
    const Curve curve = with_weather(Curve::fixed(TideHeight::from_metres(2.10), "table"), weather);
    EXPECT_NEAR(curve.height(utc("2026-06-01T00:00Z"))->metres(), 1.90, 1e-12);
    EXPECT_NEAR((Depth::from_metres(-0.6) + *curve.height(utc("2026-06-01T00:00Z"))).metres(), 1.30, 1e-12);
    EXPECT_EQ(curve.note(), "table; pressure 1033 hPa, 20 above the mean of 1013: -0.20 m");
}

// Tom Cunliffe, standard pressure: 30 mb more -0.3 m, 30 mb less +0.3 m, against 1013.
TEST(Weather, both_ways) {
    EXPECT_NEAR(weather_shift_m({.pressure_hpa = 1043, .mean_pressure_hpa = 1013}), -0.3, 0.001);
    EXPECT_NEAR(weather_shift_m({.pressure_hpa = 983, .mean_pressure_hpa = 1013}), 0.3, 0.001);
    EXPECT_NEAR(weather_shift_m({.surge_m = -0.4}), -0.4, 1e-12);
    EXPECT_NEAR(weather_shift_m({.pressure_hpa = 1000, .mean_pressure_hpa = 1015, .surge_m = 0.5}), 0.65,
                1e-12);
    EXPECT_EQ(weather_words({.pressure_hpa = 1000, .mean_pressure_hpa = 1015, .surge_m = 0.5}),
              "pressure 1000 hPa, 15 below the mean of 1015: +0.15 m; surge +0.50 m");
    EXPECT_EQ(weather_words({}), "");
    EXPECT_THROW(weather_shift_m({.pressure_hpa = 1000}), std::invalid_argument);
}

TEST(Weather, shifts_the_whole_curve_and_keeps_what_is_unknown) {
    const Series s = series("2026-06-01T00:00Z,1.0\n2026-06-01T01:00Z,1.5\n2026-06-01T03:00Z,1.6\n"
                            "2026-06-01T04:00Z,1.2\n");
    const Curve shifted = with_weather(s.prediction.curve, {.surge_m = -0.25});
    for (const char* time : {"2026-06-01T00:00Z", "2026-06-01T00:20Z", "2026-06-01T03:59Z"})
        EXPECT_NEAR(shifted.height(utc(time))->metres(),
                    s.prediction.curve.height(utc(time))->metres() - 0.25, 1e-12);
    EXPECT_FALSE(shifted.height(utc("2026-06-01T02:00Z")));
    EXPECT_FALSE(shifted.height(utc("2026-06-01T04:00:01Z")));
}
