#include "dangerline/sea/wind.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::sea;

namespace {

std::string refusal(const std::string& content) {
    const support::TemporaryFolder folder;
    try {
        read_wind(folder.file("wind.csv", content), std::nullopt, 10.0);
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::data);
        return failure.what();
    }
    return "taken";
}

Instant utc(const char* text) {
    return parse_iso_utc(text).value();
}

} // namespace

// US Army Corps of Engineers, Coastal Engineering Manual II-2-9: U10 = Uz (10/z)^(1/7); worked for Uz = 10.
TEST(Wind, profile) {
    const double worked[][2] = {{3, 11.877}, {5, 11.041}, {8, 10.324}, {10, 10.0}, {12, 9.743}, {20, 9.057}};
    for (const auto& [height, expected] : worked)
        EXPECT_NEAR(at_ten_metres(10.0, height), expected, 5e-4) << height;
}

// Against the neutral logarithmic profile, roughness 0.2 mm (from memory).
TEST(Wind, profile_near_the_logarithmic_one) {
    for (double height = 2.0; height <= 30.0; height += 0.5) {
        const double logarithmic = std::log(10.0 / 2e-4) / std::log(height / 2e-4);
        EXPECT_NEAR(at_ten_metres(1.0, height) / logarithmic, 1.0, height < 3.0 ? 0.09 : 0.06) << height;
    }
}

// Wind from 225 blows towards 045; wind from 270 towards 090.
TEST(Wind, is_named_by_where_it_comes_from) {
    const auto southwest = wind_from(225.0, 10.0);
    EXPECT_NEAR(southwest.east_mps, 10.0 / std::sqrt(2.0), 1e-12);
    EXPECT_NEAR(southwest.north_mps, 10.0 / std::sqrt(2.0), 1e-12);
    EXPECT_NEAR(wind_from(270.0, 3.0).east_mps, 3.0, 1e-12);
}

TEST(Wind, series) {
    const support::TemporaryFolder folder;
    const auto wind = read_wind(folder.file("wind.csv", "time,from_deg,speed_kn\n"
                                                        "2026-06-16T06:00Z,270,10\n"
                                                        "2026-06-16T08:00Z,360,20\n"
                                                        "2026-06-16T13:00Z,0,20\n"),
                                std::nullopt, 3.0);
    const double ten = at_ten_metres(10.0 * mps_per_knot, 3.0);
    EXPECT_NEAR(wind.at(utc("2026-06-16T06:00Z"))->east_mps, ten, 1e-12);
    const auto middle = wind.at(utc("2026-06-16T07:00Z"));
    EXPECT_NEAR(middle->east_mps, ten / 2.0, 1e-12);
    EXPECT_NEAR(middle->north_mps, -ten, 1e-12);
    EXPECT_FALSE(wind.at(utc("2026-06-16T05:59Z")));
    EXPECT_FALSE(wind.at(utc("2026-06-16T10:00Z"))) << "five hours between two rows";
    EXPECT_TRUE(wind.at(utc("2026-06-16T13:00Z")));
    EXPECT_FALSE(wind.at(utc("2026-06-16T13:01Z"))) << "the last value is never held";
}

// Rows between the ends count, however short they last; a gap anywhere leaves it unknown.
TEST(Wind, strongest_of_a_time) {
    const auto wind = Wind::series({{utc("2026-06-16T10:00Z"), {4, 0}},
                                    {utc("2026-06-16T10:05Z"), {0, -20}},
                                    {utc("2026-06-16T10:10Z"), {4, 0}},
                                    {utc("2026-06-16T12:00Z"), {6, 0}},
                                    {utc("2026-06-16T16:00Z"), {30, 0}},
                                    {utc("2026-06-16T17:00Z"), {1, 0}}},
                                   "made");
    const auto strongest = [&](const char* from, const char* to) {
        return wind.strongest_mps(utc(from), utc(to));
    };
    EXPECT_NEAR(*strongest("2026-06-16T10:00Z", "2026-06-16T10:10Z"), 20.0, 1e-12);
    EXPECT_NEAR(*strongest("2026-06-16T10:10Z", "2026-06-16T11:05Z"), 5.0, 1e-12);
    EXPECT_NEAR(*strongest("2026-06-16T10:05Z", "2026-06-16T10:05Z"), 20.0, 1e-12);
    EXPECT_NEAR(*strongest("2026-06-16T16:00Z", "2026-06-16T17:00Z"), 30.0, 1e-12);
    EXPECT_FALSE(strongest("2026-06-16T11:00Z", "2026-06-16T16:30Z")) << "four hours between two rows";
    EXPECT_FALSE(strongest("2026-06-16T12:00Z", "2026-06-16T16:00Z")) << "four hours between two rows";
    EXPECT_FALSE(strongest("2026-06-16T09:00Z", "2026-06-16T10:10Z"));
    EXPECT_FALSE(strongest("2026-06-16T16:00Z", "2026-06-16T18:00Z"));
    EXPECT_NEAR(*Wind::steady(270, 7, "").strongest_mps(utc("2026-06-16T10:00Z"), utc("2026-06-17T10:00Z")),
                7.0, 1e-12);
}

TEST(Wind, forecast_at_a_place) {
    files::VectorGrid grid{.source = "made",
                           .times = {utc("2026-06-16T06:00Z"), utc("2026-06-16T07:00Z")},
                           .west_deg = -28.0,
                           .south_deg = 46.0,
                           .step_lon_deg = 1.0,
                           .step_lat_deg = 1.0,
                           .columns = 2,
                           .rows = 2,
                           .east = {1, 3, 1, 3, 5, 7, 5, 7},
                           .north = {0, 0, 0, 0, 0, 0, 0, 0}};
    const auto wind = Wind::forecast(grid, {-27.5, 46.5});
    EXPECT_NEAR(wind.at(utc("2026-06-16T06:00Z"))->east_mps, 2.0, 1e-6);
    EXPECT_NEAR(wind.at(utc("2026-06-16T06:30Z"))->east_mps, 4.0, 1e-6);
    EXPECT_FALSE(wind.at(utc("2026-06-16T07:30Z")));
    EXPECT_FALSE(Wind::forecast(grid, {-26.0, 46.5}).at(utc("2026-06-16T06:00Z")));
}

TEST(Wind, refused) {
    EXPECT_NE(refusal("time,from_deg,speed\n2026-06-16T06:00Z,270,10\n").find("unit"), std::string::npos);
    EXPECT_NE(refusal("time,from_deg,speed_kn,speed_mps\n2026-06-16T06:00Z,270,10,5\n").find("both"),
              std::string::npos);
    EXPECT_NE(refusal("time,from_deg,speed_kn\n2026-06-16T06:00Z,361,10\n").find("from_deg"),
              std::string::npos);
    EXPECT_NE(refusal("time,from_deg,speed_kn\n2026-06-16T06:00Z,20,-1\n").find("speed_kn"),
              std::string::npos);
    EXPECT_NE(refusal("time,from_deg,speed_kn\n2026-06-16 06:00,20,1\n").find("time"), std::string::npos);
    EXPECT_NE(
        refusal("time,from_deg,speed_kn\n2026-06-16T06:00Z,20,1\n2026-06-16T06:00Z,20,1\n").find("order"),
        std::string::npos);
    EXPECT_NE(refusal("time,from_deg,speed_kn\n").find("no row"), std::string::npos);
}
