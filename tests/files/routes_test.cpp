#include "dangerline/files/routes.hpp"

#include "dangerline/base/error.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

namespace dangerline::files {
namespace {

using geo::Position;
using support::TemporaryFolder;
using Places = std::vector<Position>;

std::string gpx(const std::string& inside) {
    return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<gpx version=\"1.1\" creator=\"test\" "
           "xmlns=\"http://www.topografix.com/GPX/1/1\">\n" +
           inside + "\n</gpx>\n";
}

std::string feature(const std::string& type, const std::string& coordinates,
                    const std::string& properties = "{}") {
    return R"({"type":"Feature","properties":)" + properties + R"(,"geometry":{"type":")" + type +
           R"(","coordinates":)" + coordinates + "}}";
}

std::string collection(const std::string& features) {
    return R"({"type":"FeatureCollection","features":[)" + features + "]}";
}

struct Read {
    std::vector<DrawnRoute> routes;
    Diagnostics diagnostics;
};

Read read(const std::string& name, const std::string& content) {
    const TemporaryFolder folder;
    Read result;
    testing::internal::CaptureStderr();
    try {
        result.routes = read_routes(folder.file(name, content), result.diagnostics);
    } catch (...) {
        EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
        throw;
    }
    EXPECT_EQ(testing::internal::GetCapturedStderr(), "");
    return result;
}

Read read_gpx(const std::string& inside) {
    return read("r.gpx", gpx(inside));
}

Read read_line(const std::string& coordinates, const std::string& properties = "{}") {
    return read("r.geojson", collection(feature("LineString", coordinates, properties)));
}

TEST(Routes, GpxRouteWithNamesOfItsPlaces) {
    const auto [routes, diagnostics] = read_gpx(R"(<rte><name>Out &amp; in</name>
        <rtept lat="43.5" lon="-124.25"><name>Slip</name></rtept>
        <rtept lon='-124.3' lat='+43.6'/> <!-- <rtept lat="x" lon="y"/> -->
        <rtept lat="43.6" lon="-124.3"><name>Ledge</name></rtept></rte>)");
    ASSERT_EQ(routes.size(), 1U);
    EXPECT_EQ(routes[0].name, "Out & in");
    EXPECT_EQ(routes[0].places, (Places{{-124.25, 43.5}, {-124.3, 43.6}, {-124.3, 43.6}}));
    EXPECT_EQ(routes[0].place_names, (std::vector<std::string>{"Slip", "", "Ledge"}));
    EXPECT_FALSE(routes[0].half_width_m);
    EXPECT_TRUE(routes[0].source.ends_with("r.gpx: route 1")) << routes[0].source;
    EXPECT_TRUE(diagnostics.empty());
}

TEST(Routes, GpxHalfWidthStandsInExtensions) {
    const auto [routes, diagnostics] = read_gpx(
        R"(<rte><extensions><half_width>35.5</half_width></extensions><rtept lat="1" lon="2"/><rtept lat="1" lon="3"/></rte>)");
    EXPECT_EQ(routes.at(0).half_width_m, 35.5);
}

TEST(Routes, RoutesComeBeforeTracksAndNamesOfPlacesStayWithTheirRoute) {
    const auto [routes, diagnostics] = read_gpx(
        R"(<rte><rtept lat="1" lon="2"><name>A</name></rtept><rtept lat="1" lon="3"/></rte>
           <rte><name>second</name><rtept lat="5" lon="2"/><rtept lat="5" lon="3"/></rte>
           <trk><name>track</name><trkseg><trkpt lat="7" lon="2"/><trkpt lat="7" lon="3"/></trkseg></trk>)");
    ASSERT_EQ(routes.size(), 3U);
    EXPECT_EQ(routes[0].place_names, (std::vector<std::string>{"A", ""}));
    EXPECT_EQ(routes[1].name, "second");
    EXPECT_TRUE(routes[1].place_names.empty());
    EXPECT_EQ(routes[2].name, "track");
    EXPECT_TRUE(routes[2].place_names.empty());
    EXPECT_TRUE(routes[2].source.ends_with("track 1"));
    EXPECT_TRUE(diagnostics.empty());
}

TEST(Routes, GapsBetweenTrackSegmentsAreDrawnThroughAndSaid) {
    const auto [routes, diagnostics] = read_gpx(
        R"(<trk><name>T</name><trkseg><trkpt lat="1" lon="2"/><trkpt lat="1" lon="3"/></trkseg><trkseg/>
           <trkseg><trkpt lat="1" lon="3"/></trkseg><trkseg><trkpt lat="2" lon="3"/><trkpt lat="2" lon="4"/></trkseg></trk>)");
    ASSERT_EQ(routes.size(), 1U);
    EXPECT_EQ(routes[0].places, (Places{{2, 1}, {3, 1}, {3, 2}, {4, 2}}));
    ASSERT_EQ(diagnostics.size(), 1U);
    EXPECT_EQ(diagnostics[0].severity, Severity::warning);
    EXPECT_EQ(diagnostics[0].object, "track 1 'T'");
    EXPECT_NE(diagnostics[0].what.find("after place 2"), std::string::npos);
}

TEST(Routes, GeoJsonLinesWithHalfWidths) {
    const auto [routes, diagnostics] =
        read("r.geojson",
             collection(feature("LineString", "[[1,2],[3,4],[3,4,9]]", R"({"name":"A","half_width":30})") +
                        "," + feature("LineString", "[[1,2],[3,4],[5,4]]", R"({"half_width":[15, 22.5]})") +
                        "," + feature("LineString", "[[1,2],[3,4]]", R"({"half_width":null})") + "," +
                        feature("Point", "[1,2]")));
    ASSERT_EQ(routes.size(), 3U);
    EXPECT_EQ(routes[0].name, "A");
    EXPECT_EQ(routes[0].places, (Places{{1, 2}, {3, 4}, {3, 4}}));
    EXPECT_EQ(routes[0].half_width_m, 30.0);
    EXPECT_TRUE(routes[0].leg_half_widths_m.empty());
    EXPECT_FALSE(routes[1].half_width_m);
    EXPECT_EQ(routes[1].leg_half_widths_m, (std::vector<double>{15.0, 22.5}));
    EXPECT_FALSE(routes[2].half_width_m);
    EXPECT_TRUE(routes[1].source.ends_with("feature 2"));
    ASSERT_EQ(diagnostics.size(), 1U);
    EXPECT_EQ(diagnostics[0].object, "feature 4");
    EXPECT_NE(diagnostics[0].what.find("POINT is not a line"), std::string::npos);
}

TEST(Routes, AListOfHalfWidthsAlone) {
    EXPECT_EQ(read_line("[[1,2],[3,4],[5,4]]", R"({"half_width":[15,20]})").routes.at(0).leg_half_widths_m,
              (std::vector<double>{15.0, 20.0}));
    EXPECT_EQ(read_line("[[1,2],[3,4],[5,4]]", R"({"half_width":[15.5,20]})").routes.at(0).leg_half_widths_m,
              (std::vector<double>{15.5, 20.0}));
}

TEST(Routes, ABareGeometryIsEnough) {
    EXPECT_EQ(read("r.json", R"({"type":"LineString","coordinates":[[1,2],[3,4]]})").routes.at(0).places,
              (Places{{1, 2}, {3, 4}}));
}

// RFC 7946 3.1.9: the example line from 170 E, 45 N to 170 W, 45 N, cut at the antimeridian.
TEST(Routes, ALineSplitAtTheAntimeridianIsJoinedAgain) {
    const auto [routes, diagnostics] =
        read("r.geojson",
             collection(feature("MultiLineString",
                                "[[[170.0, 45.0], [180.0, 45.0]], [[-180.0, 45.0], [-170.0, 45.0]]]")));
    ASSERT_EQ(routes.size(), 1U);
    EXPECT_EQ(routes[0].places, (Places{{170, 45}, {180, 45}, {190, 45}}));
    EXPECT_TRUE(diagnostics.empty());
}

TEST(Routes, LongitudesRunOnTheShortWay) {
    EXPECT_EQ(read_line("[[179,1],[-179,2],[178,3]]").routes.at(0).places,
              (Places{{179, 1}, {181, 2}, {178, 3}}));
    EXPECT_EQ(read_line("[[-179,1],[179,2],[-175,2]]").routes.at(0).places,
              (Places{{-179, 1}, {-181, 2}, {-175, 2}}));
    EXPECT_EQ(read_line("[[181,1],[185,2]]").routes.at(0).places, (Places{{181, 1}, {185, 2}}));
    EXPECT_EQ(read_line("[[0,1],[180,2]]").routes.at(0).places, (Places{{0, 1}, {180, 2}}));
}

TEST(Routes, OtherGapsInAMultiLineAreSaid) {
    const auto [routes, diagnostics] = read(
        "r.geojson", collection(feature("MultiLineString", "[[[1,2],[2,2]],[[3,2],[4,2]],[[4,2],[5,2]]]")));
    EXPECT_EQ(routes.at(0).places, (Places{{1, 2}, {2, 2}, {3, 2}, {4, 2}, {5, 2}}));
    ASSERT_EQ(diagnostics.size(), 1U);
    EXPECT_NE(diagnostics[0].what.find("after place 2"), std::string::npos);
}

struct Bad {
    const char* what_is_wrong;
    const char* name;
    std::string content;
    std::vector<std::string> message_holds;
};

class BadRoutes : public testing::TestWithParam<Bad> {};

TEST_P(BadRoutes, AreRefusedWithAClearMessage) {
    const Bad& bad = GetParam();
    try {
        read(bad.name, bad.content);
        FAIL() << "not refused";
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::data);
        EXPECT_FALSE(failure.complaint().expected.empty());
        EXPECT_FALSE(failure.complaint().remedy.empty());
        const std::string message = failure.what();
        EXPECT_NE(message.find(bad.name), std::string::npos) << message;
        for (const std::string& part : bad.message_holds)
            EXPECT_NE(message.find(part), std::string::npos) << message << "\nlacks: " << part;
    }
}

std::string route(const std::string& points) {
    return gpx("<rte><name>R</name>" + points + "</rte>");
}

std::string line(const std::string& coordinates, const std::string& properties = "{}") {
    return collection(feature("LineString", coordinates, properties));
}

const Bad bad_gpx[] = {
    {"empty", "e.gpx", "", {"the file is empty"}},
    {"unknown format", "e.gpx", "lat,lon\n1,2\n", {"can't be read as GPX or GeoJSON"}},
    {"truncated", "t.gpx", route("<rtept lat='1' lon='2'/>").substr(0, 150), {"can't be read"}},
    {"no line", "n.gpx", gpx("<wpt lat='1' lon='2'/>"), {"there is no line in it"}},
    {"one place",
     "o.gpx",
     route("<rtept lat='1' lon='2'/>"),
     {"route 1 'R'", "has 1 place ", "at least two"}},
    {"no place", "o.gpx", route(""), {"route 1 'R'", "has 0 places"}},
    {"swapped",
     "s.gpx",
     route("<rtept lat='1' lon='2'/><rtept lat='152.3' lon='-33.5'/>"),
     {"route 1 'R'", "place 2", "latitude 152.3 is out of range; longitude and latitude look swapped"}},
    {"out of range",
     "s.gpx",
     route("<rtept lat='1' lon='2'/><rtept lat='10' lon='190'/>"),
     {"longitude 190 is out of range (expected longitude within 180"}},
    {"decimal comma",
     "c.gpx",
     route("\n<rtept lat='1' lon='2'/>\n<rtept lat='43,5' lon='2'/>"),
     {"rtept 2 (line 5)", "lat is '43,5', which is no number"}},
    {"latitude missing",
     "c.gpx",
     route("<rtept lat='1' lon='2'/><rtept lon='2'/><rtept lat='1' lon='2'/>"),
     {"rtept 2", "lat is missing"}},
    {"latitude empty",
     "c.gpx",
     gpx("<trk><trkseg><trkpt lat='' lon='2'/></trkseg></trk>"),
     {"trkpt 1", "lat is ''"}},
    {"nan", "c.gpx", route("<rtept lat='nan' lon='2'/><rtept lat='1' lon='2'/>"), {"lat is 'nan'"}},
    {"point outside a segment",
     "c.gpx",
     gpx("<trk><trkseg><trkpt lat='1' lon='2'/><trkpt lat='1' lon='3'/></trkseg></trk><trkpt lat='5' "
         "lon='5'/>"),
     {"tracks", "3 places stand in the file, 2 could be read"}},
};

const Bad bad_geojson[] = {
    {"truncated", "t.geojson", line("[[1,2],[3,4]]").substr(0, 60), {"can't be read"}},
    {"no feature", "n.geojson", collection(""), {"there is no line in it"}},
    {"marks only", "n.geojson", collection(feature("Point", "[1,2]")), {"there is no line in it"}},
    {"one place", "o.geojson", line("[[1,2]]", R"({"name":"L"})"), {"feature 1 'L'", "has 1 place "}},
    {"second is bad",
     "o.geojson",
     collection(feature("LineString", "[[1,2],[3,4]]") + "," + feature("LineString", "[]")),
     {"feature 2", "has 0 places"}},
    {"swapped",
     "s.geojson",
     line("[[-33.5,152.3],[-33.5,152.4]]"),
     {"place 1", "latitude 152.3 is out of range; longitude and latitude look swapped"}},
    {"out of range either way",
     "s.geojson",
     line("[[152,152.3],[1,2]]"),
     {"latitude 152.3 is out of range ("}},
    {"longitude far out", "s.geojson", line("[[1,2],[4000,2]]"), {"longitude 4000 is out of range ("}},
    {"NaN", "n.geojson", line("[[1,2],[3,NaN]]"), {"place 2", "not a number"}},
    {"overflow", "n.geojson", line("[[1,2],[3,1e999]]"), {"place 2", "not a number"}},
    {"text for a number", "x.geojson", line(R"([["1",2],[3,4]])"), {"Invalid 'x' coordinate"}},
    {"null for a number",
     "x.geojson",
     line("[[1,2],[null,4]]"),
     {"feature 1", "no geometry that can be read"}},
    {"half a place", "x.geojson", line("[[1],[3,4]]"), {"no geometry that can be read"}},
    {"no geometry",
     "x.geojson",
     collection(R"({"type":"Feature","properties":{},"geometry":null})"),
     {"no geometry that can be read"}},
    {"other reference system",
     "c.geojson",
     R"({"type":"FeatureCollection","crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::3857"}},"features":[)" +
         feature("LineString", "[[1,2],[3,4]]") + "]}",
     {"Pseudo-Mercator", "WGS 84"}},
    {"half width too narrow",
     "h.geojson",
     line("[[1,2],[3,4]]", R"({"half_width":9.9})"),
     {"half_width is 9.9 m", "10 to 2000 m"}},
    {"half width too wide",
     "h.geojson",
     line("[[1,2],[3,4]]", R"({"half_width":2000.1})"),
     {"half_width is 2000.1 m", "10 to 2000 m"}},
    {"half width per leg too narrow",
     "h.geojson",
     line("[[1,2],[3,4],[5,6]]", R"({"half_width":[20,0]})"),
     {"half_width is 0 m"}},
    {"half width NaN", "h.geojson", line("[[1,2],[3,4]]", R"({"half_width":NaN})"), {"half_width"}},
    {"half widths fewer than legs",
     "h.geojson",
     line("[[1,2],[3,4],[5,6],[7,8]]", R"({"half_width":[20,30]})"),
     {"half_width has 2 numbers, the route 3 legs"}},
    {"no half widths", "h.geojson", line("[[1,2],[3,4],[5,6]]", R"({"half_width":[]})"), {"half_width"}},
    {"half width is text",
     "h.geojson",
     line("[[1,2],[3,4]]", R"({"half_width":"50 ft"})"),
     {"half_width is '50 ft'"}},
    {"half width is true", "h.geojson", line("[[1,2],[3,4]]", R"({"half_width":true})"), {"half_width"}},
    {"half widths of mixed kinds",
     "h.geojson",
     line("[[1,2],[3,4]]", R"({"half_width":[20,"a"]})"),
     {"half_width"}},
};

INSTANTIATE_TEST_SUITE_P(Gpx, BadRoutes, testing::ValuesIn(bad_gpx));
INSTANTIATE_TEST_SUITE_P(GeoJson, BadRoutes, testing::ValuesIn(bad_geojson));

void PrintTo(const Bad& bad, std::ostream* out) {
    *out << bad.what_is_wrong;
}

TEST(Routes, MissingFilesAndFoldersAreRefused) {
    const TemporaryFolder folder;
    Diagnostics diagnostics;
    for (const auto& [path, what] :
         {std::pair(folder.path() / "none.gpx", "no such file"), std::pair(folder.path(), "is a folder"),
          std::pair(std::filesystem::path("/dev/null"), "not a regular file")}) {
        try {
            read_routes(path, diagnostics);
            FAIL() << path;
        } catch (const Failure& failure) {
            EXPECT_NE(std::string(failure.what()).find(what), std::string::npos) << failure.what();
        }
    }
}

TEST(Routes, SwappedExchangesWhatFits) {
    EXPECT_EQ(swapped({{10, 50}, {-20, 60}}), (Places{{50, 10}, {60, -20}}));
    EXPECT_EQ(swapped({{350, 50}}), (Places{{50, -10}}));
    EXPECT_EQ(swapped({{10, 50}, {91, 50}}), Places{});
}

} // namespace
} // namespace dangerline::files
