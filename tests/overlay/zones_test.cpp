#include "overlay/reports.hpp"

#include <cmath>
#include <gtest/gtest.h>

#include "dangerline/geo/regions.hpp"

namespace dangerline::overlay {
namespace {

using reports::Json;

double signed_area(const Json& ring) {
    double twice = 0.0;
    for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
        const double x = ring[0][0], y = ring[0][1];
        twice += (ring[i][0].get<double>() - x) * (ring[i + 1][1].get<double>() - y) -
                 (ring[i + 1][0].get<double>() - x) * (ring[i][1].get<double>() - y);
    }
    return twice / 2.0;
}

std::vector<geo::Position> places(const Json& ring) {
    std::vector<geo::Position> out;
    for (const Json& p : ring)
        out.push_back({p[0], p[1]});
    return out;
}

TEST(ZonesOverlay, GivesEachZoneWithWhatItRestsOn) {
    const Json all = Json::parse(zones_geojson(reports::some_zones(), "0.1.0"));
    ASSERT_EQ(all["features"].size(), 2U);
    const Json& p = all["features"][0]["properties"];
    EXPECT_EQ(p["kind"], "depth");
    EXPECT_EQ(p["grade"], "danger");
    EXPECT_EQ(p["cause"], "");
    EXPECT_EQ(p["reading"], "charted");
    EXPECT_EQ(p["object"]["lnam"], "022600000001000A");
    EXPECT_EQ(p["tide_m"], 1.5);
    EXPECT_EQ(p["radius_m"], 50.0);
    EXPECT_EQ(p["depth_m"], 0.6);
    EXPECT_EQ(p["critical_tide_m"], 1.8);
    const Json& wide = all["features"][1]["properties"];
    EXPECT_EQ(wide["reading"], "wide");
    ASSERT_TRUE(wide.contains("critical_tide_m"));
    EXPECT_TRUE(wide["critical_tide_m"].is_null()) << "at any tide";
    EXPECT_EQ(wide["depth_known"], false);
    EXPECT_FALSE(wide.contains("depth_m"));
    EXPECT_EQ(all["dangerline"]["job"], "zones");
    EXPECT_EQ(
        all["dangerline"]["counts"],
        Json::parse(
            R"({"hazards_tested":412,"zones":2,"by_grade":{"danger":1,"unknown":0,"caution":1,"note":0}})"));
}

TEST(ZonesOverlay, CutsWindsAndClosesAreas) {
    const Json all = Json::parse(zones_geojson(reports::some_zones(), "0.1.0"));
    const Json& parts = all["features"][0]["geometry"]["coordinates"];
    ASSERT_EQ(parts.size(), 2U) << "one on each side of 180 degrees";
    double square_metres = 0.0;
    for (const Json& rings : parts) {
        ASSERT_EQ(rings.size(), 2U);
        for (std::size_t i = 0; i < rings.size(); ++i) {
            EXPECT_EQ(rings[i].front(), rings[i].back());
            EXPECT_EQ(signed_area(rings[i]) > 0.0, i == 0);
            square_metres += (i == 0 ? 1.0 : -1.0) * geo::ellipsoid_area(places(rings[i]));
        }
    }
    EXPECT_NEAR(square_metres, 600.0 * 600.0 - 2.0 * 100.0 * 100.0, 10.0);
    EXPECT_GT(all["bbox"][0], all["bbox"][2]) << "west of the box is east of its east across 180 degrees";
}

// A drawn zone must not be narrower than the radius it claims, not even by its own rounding.
TEST(ZonesOverlay, KeepsTheWidthOfAZone) {
    auto report = reports::some_zones();
    const geo::Point rock{3000.0, -2000.0};
    report.zones = {reports::a_zone(geo::grown(geo::Shape::of_points({rock}), 50.0))};
    const Json all = Json::parse(zones_geojson(report, "1"));
    const geo::Position centre = report.plane.to_position(rock);
    const auto ring = places(all["features"][0]["geometry"]["coordinates"][0][0]);
    ASSERT_GT(ring.size(), 200U);
    for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
        const geo::Position middle{(ring[i].lon_deg + ring[i + 1].lon_deg) / 2.0,
                                   (ring[i].lat_deg + ring[i + 1].lat_deg) / 2.0};
        EXPECT_GE(geo::geodesic_between(centre, middle).metres, 50.0);
        EXPECT_LE(geo::geodesic_between(centre, ring[i]).metres, 50.1);
    }
}

TEST(ZonesOverlay, SaysThatAgesAreNotKnownWithoutADay) {
    auto report = reports::some_zones();
    report.plan.as_of.reset();
    report.plan.depart.reset();
    report.as_of.reset();
    const Json head = Json::parse(zones_geojson(report, "1"))["dangerline"];
    EXPECT_TRUE(head["as_of"].is_null());
    for (const Json& chart : head["charts"]) {
        EXPECT_TRUE(chart["days_since_update"].is_null());
        EXPECT_NE(chart["note"], "");
    }
}

TEST(ZonesOverlay, WritesACollectionOfNothingWithoutABox) {
    auto report = reports::some_zones();
    report.zones.clear();
    const Json all = Json::parse(zones_geojson(report, "1"));
    EXPECT_EQ(all["features"], Json::array());
    EXPECT_FALSE(all.contains("bbox"));
}

TEST(ZonesOverlay, GivesTheSameBytesForTheSameReport) {
    EXPECT_EQ(zones_geojson(reports::some_zones(), "1"), zones_geojson(reports::some_zones(), "1"));
}

} // namespace
} // namespace dangerline::overlay
