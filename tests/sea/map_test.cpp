// Which streams count at a place.
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"
#include "dangerline/sea/map.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::sea;

namespace {

const geo::Plane& plane() {
    static const geo::Plane p(geo::Position{-28.0, 46.0});
    return p;
}
const Instant now = start_of({2026, 7, 15});

StreamStation station(const std::string& name, geo::Point at, std::optional<Stream> stream) {
    return {name, plane().to_position(at), "steady",
            Series(now - 3600.0, now + 3600.0, [=](Instant) { return stream; }), ""};
}

StreamMap map_of(std::vector<StreamStation> stations, tide::Land land = {}, StreamMap::Settings settings = {},
                 std::vector<StreamBound> bounds = {}) {
    return StreamMap(plane(), std::move(stations), {}, std::move(bounds), std::move(land), settings);
}

const Stream north = stream_of(0.0, 2.5 * mps_per_knot);

} // namespace

// W sets 000 at 2.5 kn, E sets 180 at 2.5 kn, both in reach: half way their mean is nothing, which is no
// slack water.
TEST(StreamMap, opposite_sets_are_not_slack_water) {
    const auto map = map_of({station("W", {-2000.0, 0.0}, north),
                             station("E", {2000.0, 0.0}, stream_of(180.0, 2.5 * mps_per_knot))});
    const auto there = map.at({0.0, 0.0}, now);
    EXPECT_FALSE(there.stream);
    ASSERT_TRUE(there.bound_mps);
    EXPECT_NEAR(*there.bound_mps, 2.5 * mps_per_knot, 1e-6);
    EXPECT_NE(there.reason.find("180 degrees apart"), std::string::npos) << there.reason;
    EXPECT_FALSE(map.fix({0.0, 0.0})(now));
}

TEST(StreamMap, sets_alike_are_weighted_by_inverse_distance) {
    const auto map = map_of({station("W", {-1000.0, 0.0}, stream_of(0.0, 1.0)),
                             station("E", {3000.0, 0.0}, stream_of(50.0, 2.0))});
    const auto there = map.at({0.0, 0.0}, now);
    ASSERT_TRUE(there.stream);
    const Stream east = stream_of(50.0, 2.0);
    EXPECT_NEAR(there.stream->east_mps, 0.25 * east.east_mps, 1e-6);
    EXPECT_NEAR(there.stream->north_mps, 0.75 * 1.0 + 0.25 * east.north_mps, 1e-6);
    EXPECT_EQ(there.source, "75 % W, steady | 25 % E, steady");
    EXPECT_EQ(map.fix({0.0, 0.0})(now), there.stream);
}

TEST(StreamMap, one_alone_gives_its_own_value_and_none_out_of_reach) {
    const auto map = map_of({station("W", {0.0, 0.0}, north)});
    EXPECT_NEAR(map.at({5000.0, 0.0}, now).stream->rate_mps(), north.rate_mps(), 1e-6);
    EXPECT_FALSE(map.at({6000.0, 0.0}, now).stream);
    EXPECT_NE(map.at({6000.0, 0.0}, now).reason.find("3.0 NM"), std::string::npos);
    EXPECT_FALSE(map.at({0.0, 0.0}, now + 7200.0).stream);
    EXPECT_FALSE(map_of({}).at({0.0, 0.0}, now).stream);
}

TEST(StreamMap, land_parts_waters) {
    const auto land = std::make_shared<const geo::Shape>(geo::Shape::of_area(
        {{{1000.0, -4000.0}, {1800.0, -4000.0}, {1800.0, 4000.0}, {1000.0, 4000.0}, {1000.0, -4000.0}}}));
    const auto map = map_of({station("W", {0.0, 0.0}, north)}, {land});
    EXPECT_TRUE(map.at({500.0, 0.0}, now).stream);
    EXPECT_FALSE(map.at({3000.0, 0.0}, now).stream);
}

// A station that is not known there might have set the other way.
TEST(StreamMap, an_unknown_station_in_reach_makes_it_unknown) {
    const auto map = map_of({station("W", {-2000.0, 0.0}, north), station("E", {2000.0, 0.0}, std::nullopt)});
    EXPECT_FALSE(map.at({-1900.0, 0.0}, now).stream);
    EXPECT_EQ(map.at({-1900.0, 0.0}, now).reason, "E: no data for this time");
    EXPECT_TRUE(map.at({-5000.0, 0.0}, now).stream);
}

TEST(StreamMap, bounds_are_bounds_only) {
    const auto place = std::make_shared<const geo::Shape>(geo::Shape::of_points({{0.0, 0.0}}));
    const auto map = map_of({}, {}, {}, {{"ebb", place, 1.5}});
    EXPECT_FALSE(map.at({100.0, 0.0}, now).stream);
    EXPECT_EQ(map.at({100.0, 0.0}, now).bound_mps, 1.5);
    EXPECT_FALSE(map.at({9000.0, 0.0}, now).bound_mps);
    const auto stated = map_of({}, {}, {.rate_max_mps = 1.0}, {{"ebb", place, 1.5}});
    EXPECT_EQ(stated.at({100.0, 0.0}, now).bound_mps, 1.5);
    EXPECT_EQ(stated.at({9000.0, 0.0}, now).bound_mps, 1.0);
}

TEST(StreamMap, a_forecast_comes_first_where_it_knows) {
    auto grid = files::read_vector_grid(support::testdata() / "files/stream.nc", files::GridQuantity::stream);
    StreamMap map(plane(), {station("W", {0.0, 0.0}, north)}, {grid}, {}, {}, {});
    const geo::Point inside = plane().to_plane({-27.99, 46.01});
    EXPECT_NEAR(map.at(inside, now).stream->east_mps, 0.2 * 0.1 + 0.3 * 0.1, 1e-3);
    EXPECT_EQ(map.at(inside, now).source, "forecast stream.nc");
    EXPECT_NEAR(map.at(inside, now - 600.0).stream->rate_mps(), north.rate_mps(), 1e-6);
}

// One constituent alone against the cosine it stands for; f and u from the tide's own tables.
TEST(StreamMap, harmonic_constants) {
    const support::TemporaryFolder folder;
    const auto path =
        folder.file("c.csv", "constituent,east_kn,east_phase_deg_gmt,north_kn,north_phase_deg_gmt\n"
                             "Z0,0.5,,-0.1,\nS2,2.0,30,1.0,120\n");
    const auto series = harmonic_series(path, now, now + 86400.0);
    for (int h = 0; h < 24; ++h) {
        const double deg =
            std::numbers::pi / 180.0; // S2: 30 degrees an hour, V0 = 0 at midnight, f = 1, u = 0
        EXPECT_NEAR(series.value(now + h * 3600.0)->east_mps / mps_per_knot,
                    0.5 + 2.0 * std::cos((30.0 * h - 30.0) * deg), 1e-4);
        EXPECT_NEAR(series.value(now + h * 3600.0)->north_mps / mps_per_knot,
                    -0.1 + 1.0 * std::cos((30.0 * h - 120.0) * deg), 1e-4);
    }
    EXPECT_THROW(harmonic_series(folder.file("d.csv", "constituent,east_kn,east_phase_deg_gmt,north_kn,"
                                                      "north_phase_deg_gmt\nS2,2.0,30,1.0,120\n"),
                                 now, now),
                 Failure);
}
