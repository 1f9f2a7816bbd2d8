#include "overlay/reports.hpp"

#include <gtest/gtest.h>

namespace dangerline::overlay {
namespace {

using reports::Json;

TEST(NewerOverlay, GivesEachDifferenceWithBothSides) {
    const Json all = Json::parse(newer_geojson(reports::some_changes(), "0.1.0"));
    ASSERT_EQ(all["features"].size(), 7U);
    const Json& missing = all["features"][0];
    EXPECT_EQ(missing["geometry"]["type"], "Point");
    EXPECT_EQ(missing["properties"]["change"], "missing");
    EXPECT_EQ(missing["properties"]["newer"]["class"], "WRECKS");
    EXPECT_TRUE(missing["properties"]["charted"].is_null());
    EXPECT_EQ(missing["properties"]["adds_hazard"], true);
    EXPECT_EQ(missing["properties"]["radius_m"], 25.0);
    EXPECT_EQ(missing["properties"]["distance_m"], 23.0);
    EXPECT_EQ(missing["properties"]["nearest"], "Out to the bank");
    EXPECT_FALSE(all["features"][1]["properties"].contains("distance_m"));
    EXPECT_EQ(all["features"][1]["geometry"]["type"], "MultiPolygon");
    EXPECT_EQ(all["features"][2]["properties"]["moved_m"], 271.3);
    EXPECT_EQ(all["features"][3]["properties"]["beyond_m"], 80.5);
    EXPECT_EQ(all["features"][4]["geometry"]["type"], "MultiLineString") << "it crosses 180 degrees";
    EXPECT_EQ(all["features"][5]["properties"]["deeper_m"], -0.5);
    EXPECT_EQ(all["features"][5]["properties"]["charted_depth_m"], 2.1);
    const Json& gone = all["features"][6]["properties"];
    EXPECT_TRUE(gone["newer"].is_null());
    EXPECT_EQ(gone["charted"]["name"], "Old wreck");
    EXPECT_EQ(gone["adds_hazard"], false);
}

TEST(NewerOverlay, CountsWhatItTells) {
    const Json counts = Json::parse(newer_geojson(reports::some_changes(), "0.1.0"))["dangerline"]["counts"];
    EXPECT_EQ(counts["newer"][0]["changes"],
              Json::parse(R"({"missing":2,"moved":1,"larger":2,"depth_differs":1,"gone":1})"));
    EXPECT_EQ(counts["newer"][0]["left_out"],
              Json::parse(R"({"far":3,"on_no_chart":2,"on_land":1,"differences_far":4})"));
    EXPECT_EQ(counts["tried"][0]["median_difference_m"], 0.12);
    EXPECT_EQ(counts["tried"][1]["counts_for_nothing"], "it was run 151 days ago, over 90");
    EXPECT_FALSE(counts["tried"][1].contains("spread_m"));
}

TEST(NewerOverlay, WritesSoundingsAsATable) {
    const std::string csv = soundings_csv(reports::some_changes());
    EXPECT_EQ(csv,
              "by,time_utc,lon,lat,soundings,logged_m,tide_m,sounded_m,charted_m,charted_shoalest_m,"
              "charted_deepest_m,survey_doubt_m,difference_m,local_m,local_change,grade,remark\r\n"
              "\"A. \"\"Nother\"\"\",2026-06-01T12:00:00Z,-27.9000000,46.0500000,3,4.20,1.30,3.20,4.30,2.00,"
              "5.00,1.10,-1.10,-1.22,yes,caution,1.2 m shoaler than the rest of the log\r\n"
              "\"A. \"\"Nother\"\"\",2026-06-01T12:01:00Z,-27.8000000,46.0500000,1,7.00,,,,,,,,,,,"
              "not known: no chart covers this water\r\n");
}

TEST(NewerOverlay, GivesTheSameBytesForTheSameReport) {
    EXPECT_EQ(newer_geojson(reports::some_changes(), "1"), newer_geojson(reports::some_changes(), "1"));
}

} // namespace
} // namespace dangerline::overlay
