#include "overlay/reports.hpp"

#include "support/support.hpp"

#include <cmath>
#include <fstream>
#include <gtest/gtest.h>

namespace dangerline::overlay {
namespace {

using reports::Json;

/// The features of a role, in order.
std::vector<Json> of_role(const Json& collection, const std::string& role) {
    std::vector<Json> out;
    for (const Json& f : collection["features"])
        if (f["properties"]["role"] == role)
            out.push_back(f);
    return out;
}

Json written() {
    return Json::parse(passage_geojson(reports::a_passage(), "0.1.0"));
}

TEST(PassageOverlay, GivesEachStretchWithItsReason) {
    const auto stretches = of_role(written(), "stretch");
    ASSERT_EQ(stretches.size(), 5U) << "the one of length 0 is left out";
    EXPECT_EQ(stretches[0]["geometry"]["type"], "LineString");
    const auto& empty = stretches[0]["properties"];
    EXPECT_EQ(empty["grade"], "none_found");
    EXPECT_EQ(empty["cause"], "");
    EXPECT_EQ(empty["grades"], Json::array());
    EXPECT_EQ(empty["reason"], "Nothing found by these checks.");
    EXPECT_FALSE(empty.contains("kind"));
    EXPECT_EQ(empty["enter"], "2026-06-01T12:00:00Z");
    EXPECT_EQ(empty["leave"], "2026-06-01T12:03:20Z"); // 1000 m at 5 m/s
    const auto& rock = stretches[1]["properties"];
    EXPECT_EQ(rock["grade"], "danger");
    EXPECT_EQ(rock["kind"], "depth");
    EXPECT_EQ(rock["finding"], 1);
    EXPECT_EQ(rock["reason"], reports::some_findings()[0].reason);
    EXPECT_EQ(rock["grades"],
              Json::parse(R"([{"grade":"danger","cause":""},{"grade":"caution","cause":"survey"}])"));
    const auto& unexplained = stretches[2]["properties"];
    EXPECT_EQ(unexplained["cause"], "margin");
    EXPECT_FALSE(unexplained.contains("finding"));
    EXPECT_FALSE(unexplained["reason"].get<std::string>().empty());
    EXPECT_EQ(stretches[3]["properties"]["finding"], 4) << "same grade and cause before a mere overlap";
    EXPECT_EQ(stretches[3]["geometry"]["type"], "MultiLineString") << "it crosses 180 degrees";
}

TEST(PassageOverlay, GivesEachFindingAsRanked) {
    const auto findings = of_role(written(), "finding");
    ASSERT_EQ(findings.size(), 6U);
    for (std::size_t i = 0; i < findings.size(); ++i)
        EXPECT_EQ(findings[i]["properties"]["number"], i + 1);
    const auto& rock = findings[0]["properties"];
    EXPECT_EQ(
        rock["object"],
        Json::parse(R"({"lnam":"022600000001000A","class":"UWTROC","name":"Old Tom","cell":"XX3DEMO1"})"));
    EXPECT_EQ(rock["remark"], "Reported 1987, safe to assume it is there");
    EXPECT_EQ(rock["depth_m"], 0.6);
    EXPECT_EQ(rock["depth_known"], true);
    EXPECT_EQ(rock["critical_tide_m"], 1.8);
    EXPECT_EQ(rock["tide_m"], 1.3);
    EXPECT_EQ(rock["water_m"], 1.9);
    EXPECT_EQ(rock["required_water_m"], 2.4);
    EXPECT_EQ(rock["spare_m"], -0.5);
    EXPECT_EQ(rock["spare_doubt_m"], 0.4);
    EXPECT_EQ(rock["distance_m"], 12.3);
    EXPECT_EQ(rock["length_m"], 100.0);
    EXPECT_EQ(rock["enter"], "2026-06-01T12:03:20Z");
    EXPECT_EQ(rock["leave"], "2026-06-01T12:03:40Z");
    EXPECT_FALSE(findings[2]["properties"].contains("depth_known"))
        << "no word of depth where there is no depth";
}

TEST(PassageOverlay, WritesNullForAnyTideAndNothingForWhatIsNotKnown) {
    const Json all = written();
    const Json wreck = of_role(all, "finding")[1]["properties"];
    ASSERT_TRUE(wreck.contains("critical_tide_m"));
    EXPECT_TRUE(wreck["critical_tide_m"].is_null());
    EXPECT_EQ(wreck["depth_known"], false);
    for (const char* name :
         {"depth_m", "tide_m", "water_m", "spare_m", "spare_doubt_m", "distance_m", "remark"})
        EXPECT_FALSE(wreck.contains(name)) << name;
    EXPECT_EQ(all.dump().find("inf"), std::string::npos);
}

TEST(PassageOverlay, PutsObjectsAtTheirPlaceAndTheRestAlongTheRoute) {
    const auto findings = of_role(written(), "finding");
    EXPECT_EQ(findings[0]["geometry"]["type"], "Point");
    EXPECT_LT(findings[0]["geometry"]["coordinates"][0], -179.9) << "500 m east of 180 degrees";
    EXPECT_GT(findings[1]["geometry"]["coordinates"][0], 179.9) << "500 m west of it";
    // 500 m / (R cos 45) of WGS 84: a degree of longitude is 78,847 m there.
    EXPECT_NEAR(findings[0]["geometry"]["coordinates"][0].get<double>(), -180.0 + 500.0 / 78847.0, 1e-6);
    EXPECT_EQ(findings[2]["geometry"]["type"], "MultiLineString");
    EXPECT_EQ(findings[4]["geometry"]["type"], "Point") << "a shore stretch of length 0";
    EXPECT_EQ(findings[4]["geometry"]["coordinates"], Json::parse("[179.95, 45.0]"));
}

TEST(PassageOverlay, GivesThePlacesWithTheirTimes) {
    const auto report = reports::a_passage();
    const auto places = of_role(written(), "place");
    ASSERT_EQ(places.size(), 3U);
    EXPECT_EQ(places[0]["properties"]["name"], "Slip");
    EXPECT_EQ(places[2]["properties"]["name"], "Bank \"Three\"");
    EXPECT_EQ(places[1]["geometry"]["coordinates"], Json::parse("[-179.95, 45.02]"));
    EXPECT_EQ(places[0]["properties"]["time"], "2026-06-01T12:00:00Z");
    EXPECT_EQ(places[2]["properties"]["time"], to_iso_utc(report.routes[0].times.arrival()));
    EXPECT_NEAR(places[2]["properties"]["distance_m"].get<double>(), report.routes[0].track.length(), 0.05);
}

TEST(PassageOverlay, SaysHowItWasMade) {
    const Json head = written()["dangerline"];
    EXPECT_EQ(head["job"], "passage");
    EXPECT_EQ(head["version"], "0.1.0");
    EXPECT_EQ(head["as_of"], "2026-06-01");
    EXPECT_EQ(head["charts"].size(), 4U);
    EXPECT_EQ(head["charts"][0]["note"], "");
    EXPECT_EQ(head["charts"][0]["days_since_update"], 31);
    EXPECT_EQ(head["charts"][1]["note"], "last update more than a year old");
    EXPECT_TRUE(head["charts"][2]["days_since_update"].is_null());
    EXPECT_NE(head["charts"][2]["note"], "");
    EXPECT_EQ(head["charts"][3]["note"], "last update more than 90 days old");
    EXPECT_EQ(head["boat"]["speed_kn"], 10.0);
    EXPECT_EQ(head["wind"], "wind from SW 20 kn, blowing towards NE");
    EXPECT_EQ(head["assumptions"].size(), 2U);
    EXPECT_EQ(head["counts"][0]["findings"], Json::parse(R"({"danger":2,"unknown":1,"caution":2,"note":1})"));
    EXPECT_EQ(head["counts"][0]["hazards_tested"], 412);
    EXPECT_EQ(head["counts"][0]["worst"], "danger");
    EXPECT_EQ(head["counts"][0]["warnings"].size(), 1U);
    EXPECT_EQ(head["diagnostics"][0]["file"], "XX3DEMO1.000") << "no folder of anybody's machine";
}

// The skipper must not read more into an output than the checks can bear.
TEST(PassageOverlay, PromisesNothing) {
    auto report = reports::a_passage();
    for (auto& f : report.routes[0].check.findings)
        f.remark.clear(); // the chart's own words are quoted as they are
    const std::string text = passage_geojson(report, "0.1.0") + zones_geojson(reports::some_zones(), "0.1.0");
    for (const char* word : {"safe", "Safe", "clear", "Clear", "verdict", "Verdict", "will hold"})
        EXPECT_EQ(text.find(word), std::string::npos) << word;
    EXPECT_NE(text.find("not for navigation"), std::string::npos);
}

TEST(PassageOverlay, GivesTheSameBytesForTheSameReport) {
    EXPECT_EQ(passage_geojson(reports::a_passage(), "1"), passage_geojson(reports::a_passage(), "1"));
}

TEST(PassageOverlay, TakesChartTextThatIsNoUtf8) {
    auto report = reports::a_passage();
    report.routes[0].check.findings[0].remark = "pierre d\xE9rochante";
    const Json all = Json::parse(passage_geojson(report, "1"));
    EXPECT_EQ(of_role(all, "finding")[0]["properties"]["remark"], "pierre d\uFFFDrochante");
}

// RFC 7946 section 3.1.1 takes what lies between two places as straight in longitude and latitude; charts
// mean rhumb lines.
TEST(PassageOverlay, DrawsRhumbLegsToAMetre) {
    auto route = reports::a_route();
    route.places = {{179.8, 60.0}, {180.3, 60.25}, {180.3, 60.3}};
    geo::Plane plane({180.0, 60.0});
    const passage::Track track(route, plane);
    auto report = reports::a_passage();
    auto& checked = report.routes[0];
    checked.track = track;
    checked.check.findings.clear();
    checked.check.stretches = {{{0.0, track.length()}, {}}};
    const Json all = Json::parse(passage_geojson(report, "1"));
    std::vector<std::vector<geo::Point>> legs;
    for (const auto& c : track.chords())
        legs.push_back({c.leg.from, c.leg.to});
    const geo::Shape rhumb = geo::Shape::of_lines(legs);
    std::size_t chords = 0;
    double most = 0.0;
    const Json lines = of_role(all, "stretch").at(0)["geometry"]["coordinates"];
    for (const Json& line : lines)
        for (std::size_t i = 0; i + 1 < line.size(); ++i, ++chords)
            for (const double k : {0.0, 0.3, 0.5, 0.7})
                most = std::max(
                    most, rhumb.distance(plane.to_plane(
                              {(1.0 - k) * line[i][0].get<double>() + k * line[i + 1][0].get<double>(),
                               (1.0 - k) * line[i][1].get<double>() + k * line[i + 1][1].get<double>()})));
    EXPECT_LE(most, 1.1) << "1 m, and 0.1 m of the chords they are held against";
    EXPECT_GT(chords, 6U);
    const geo::Point middle = plane.to_plane({180.05, 60.125});
    EXPECT_GT(rhumb.distance(middle), 3.0) << "uncut, the first leg would have been further off";
}

// What the checks of schema and rules outside this program are run on.
TEST(Samples, AreWritten) {
    const std::filesystem::path folder = DANGERLINE_SAMPLES;
    std::filesystem::create_directories(folder);
    std::ofstream(folder / "passage.geojson") << passage_geojson(reports::a_passage(), "0.1.0");
    std::ofstream(folder / "zones.geojson") << zones_geojson(reports::some_zones(), "0.1.0");
    std::ofstream(folder / "newer.geojson") << newer_geojson(reports::some_changes(), "0.1.0");
    auto none = reports::some_zones();
    none.zones.clear();
    none.plan.as_of.reset();
    std::ofstream(folder / "no_zones.geojson") << zones_geojson(none, "0.1.0");
    EXPECT_EQ(support::read_file(folder / "passage.geojson"), passage_geojson(reports::a_passage(), "0.1.0"));
}

} // namespace
} // namespace dangerline::overlay
