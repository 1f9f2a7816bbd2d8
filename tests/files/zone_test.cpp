#include "dangerline/files/zone.hpp"

#include "dangerline/base/error.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

using namespace dangerline;

namespace {

std::string polygon(const std::string& rings) {
    return R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{"name":"river"},)"
           R"("geometry":{"type":"Polygon","coordinates":)" +
           rings + "}}]}";
}

std::string geometry(const std::string& type, const std::string& coordinates) {
    return R"({"type":")" + type + R"(","coordinates":)" + coordinates + "}";
}

} // namespace

TEST(Zone, is_the_ring_of_the_one_polygon) {
    const support::TemporaryFolder folder;
    const std::string ring = "[[[-28,46],[-27.5,46],[-27.5,46.5],[-28,46]]]";
    for (const auto& text :
         {polygon(ring), geometry("Polygon", ring), geometry("MultiPolygon", "[" + ring + "]")}) {
        const auto zone = files::read_zone(folder.file("zone.geojson", text));
        ASSERT_EQ(zone.size(), 3U);
        EXPECT_EQ(zone[1].lon_deg, -27.5);
        EXPECT_EQ(zone[1].lat_deg, 46.0);
    }
    // Over the antimeridian it runs on.
    const auto far = files::read_zone(
        folder.file("zone.geojson", polygon("[[[179.5,-17],[-179.5,-17],[-179.5,-16],[179.5,-17]]]")));
    EXPECT_EQ(far[1].lon_deg, 180.5);
}

TEST(Zone, refuses_with_one_message_that_names_the_file) {
    const support::TemporaryFolder folder;
    const std::string good = "[[[-28,46],[-27,46],[-27,47],[-28,46]]]";
    struct Bad {
        std::string text, words;
    };
    const Bad all[] = {
        {"", "the file is empty"},
        {"zone, not JSON", "can't be read as GeoJSON"},
        {polygon(good).substr(0, 150), "can't be read as GeoJSON"},
        {R"({"type":"FeatureCollection","features":[]})", "there is no polygon"},
        {geometry("LineString", "[[-28,46],[-27,46],[-27,47],[-28,46]]"), "is a LINESTRING"},
        {R"({"type":"FeatureCollection","features":[{"type":"Feature","properties":{},"geometry":null}]})",
         "no geometry"},
        {geometry("MultiPolygon", "[" + good + ",[[[-26,46],[-25,46],[-25,47],[-26,46]]]]"), "2 polygons"},
        {polygon("[[[-28,46],[-27,46],[-27,47],[-28,46]],[[-27.3,46.2],[-27.2,46.2],[-27.2,46.3],"
                 "[-27.3,46.2]]]"),
         "has a hole"},
        {polygon("[[[-28,46],[-27,46],[-28,46]]]"), "2 corners"},
        {polygon("[[[-28,46],[-27,46],[-27,47],[-28,47]]]"), "not closed"},
        {polygon("[[[-28,46],[-27,47],[-27,46],[-28,47],[-28,46]]]"), "crosses"},
        {polygon("[[[46,-128],[46,-127],[47,-127],[46,-128]]]"), "look swapped"},
        {polygon("[[[-400,46],[-27,46],[-27,47],[-400,46]]]"), "longitude -400 is out of range"},
        {R"({"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"EPSG:3857"}},"features":[)"
         R"({"type":"Feature","properties":{},"geometry":)" +
             geometry("Polygon", good) + "}]}",
         "coordinates are in"}};
    for (const auto& bad : all) {
        try {
            files::read_zone(folder.file("zone.geojson", bad.text));
            ADD_FAILURE() << "nothing was said, not " << bad.words;
        } catch (const Failure& failure) {
            EXPECT_EQ(failure.fault(), Fault::data);
            EXPECT_NE(std::string(failure.what()).find(bad.words), std::string::npos) << failure.what();
            EXPECT_NE(std::string(failure.what()).find("zone.geojson"), std::string::npos) << failure.what();
        }
    }
    EXPECT_THROW(files::read_zone(folder.path() / "none.geojson"), Failure);
    EXPECT_THROW(files::read_zone(folder.path()), Failure);
}
