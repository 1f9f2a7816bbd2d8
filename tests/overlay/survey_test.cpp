#include "dangerline/overlay/survey.hpp"

#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>

#include "overlay/reports.hpp"

namespace dangerline::overlay {
namespace {

using reports::Json;
using survey::Flag;

geo::Ring box(double west, double south, double east, double north) {
    return {{west, south}, {east, south}, {east, north}, {west, north}, {west, south}};
}

survey::TrustArea an_area(std::vector<Flag> flags, std::vector<geo::PolygonRings> polygons) {
    survey::TrustArea a;
    a.flags = std::move(flags);
    a.catzoc = 3;
    a.facts.begun = survey::read_date("1940");
    a.facts.ended = survey::read_date("1949");
    a.facts.techniques = 1U << 5;
    a.age = survey::age_of(a.facts, CalendarDay{2026, 6, 1});
    a.moving = survey::Moving::bank;
    a.moved_m = 100.0;
    a.position_m = 600.0;
    a.depth = {2.0, 0.05};
    a.at_least = true;
    a.area = std::move(polygons);
    a.square_metres = geo::area_of(a.area);
    a.sentence = "Lines-only survey (CATZOC B), 1940–49.";
    return a;
}

jobs::DatedHazard a_hazard(const char* lnam, geo::Shape shape, const char* sourced) {
    jobs::DatedHazard h;
    h.cls = "WRECKS";
    h.lnam = lnam;
    h.name = "Old \"Tom\"";
    h.what = "wreck";
    h.flags = {Flag::undated, Flag::before_1970};
    h.facts.sourced = survey::read_date(sourced);
    h.age = survey::age_of(h.facts, CalendarDay{2026, 6, 1});
    h.catzoc = 4;
    h.allowance = survey::allowance_for(
        {.scale = 20000, .quapos = {}, .posacc_m = {}, .souacc_m = {}, .catzoc = 4, .depth_m = 2.1});
    h.shape = std::make_shared<const geo::Shape>(std::move(shape));
    h.sentence = "Wreck: undated, not surveyed after 1936.";
    return h;
}

jobs::SurveyedCell a_cell() {
    jobs::SurveyedCell cell;
    cell.note = reports::some_cells()[1];
    cell.plane = std::make_shared<const geo::Plane>(geo::Position{179.99, 45.0});
    cell.water.areas.push_back(an_area({Flag::lead_line, Flag::before_1970},
                                       {{box(0, 0, 5000, 5000), box(1000, 1000, 4000, 4000)}}));
    cell.water.areas.push_back(an_area({}, {{box(-5000, 0, 0, 5000)}}));
    cell.water.areas.back().sentence = "Nothing in these rules flags it.";
    for (const auto& a : cell.water.areas)
        cell.water.water_square_metres += a.square_metres;
    cell.water.flagged_square_metres = cell.water.areas.front().square_metres;
    cell.water.survey_square_metres = cell.water.flagged_square_metres;
    cell.uncovered = {{box(0, 5000, 5000, 6000)}};
    cell.coverage = {{box(-5000, 0, 5000, 5000)}};
    cell.not_updated = true;
    cell.hazards = {
        a_hazard("022600000001000A", geo::Shape::of_points({{-500.0, 20.0}}), "1936"),
        a_hazard("022600000001000B", geo::Shape::of_lines({{{-300.0, 5.0}, {900.0, 5.0}}}), "not told"),
        a_hazard("022600000001000C", geo::Shape::of_area({box(2000, 2000, 2100, 2100)}), "19360911")};
    cell.hazards[0].charted_depth_m = 2.1;
    cell.hazards[0].off_m = 40.04;
    cell.hazards[0].off = "Out";
    cell.hazards[2].flags.clear();
    cell.hazards_left_out = 2;
    return cell;
}

jobs::SurveySummary a_summary(const jobs::SurveyedCell& cell) {
    jobs::SurveySummary s;
    s.as_of = CalendarDay{2026, 6, 1};
    s.cells = reports::some_cells();
    jobs::SurveyedRow row{cell.note,
                          true,
                          cell.water.water_square_metres,
                          cell.water.flagged_square_metres,
                          cell.water.survey_square_metres,
                          {},
                          1940,
                          3,
                          2,
                          2};
    for (const auto& rule : survey::flag_rules())
        row.by_flag_m2[rule.flag] = 5.0;
    row.by_flag_m2[Flag::lead_line] = cell.water.flagged_square_metres;
    s.rows.push_back(row);
    s.assumptions = {"undated means 100 years"};
    s.routes.push_back({"Out",
                        9000.0,
                        3000.0,
                        10.0,
                        {{Flag::lead_line, 3000.0}},
                        {{"XX3DEMO2", {Flag::lead_line}, "Lines-only survey.", 3000.0}}});
    s.diagnostics = reports::some_diagnostics();
    return s;
}

std::string written() {
    const auto cell = a_cell();
    SurveyWriter writer;
    std::string text = writer.begin();
    text += writer.cell(cell);
    return text + writer.end(a_summary(cell), "0.1.0");
}

TEST(SurveyOverlay, gives_each_area_with_what_flags_it) {
    const Json all = Json::parse(written());
    ASSERT_EQ(all["features"].size(), 7U);
    const Json& p = all["features"][0]["properties"];
    EXPECT_EQ(p["role"], "flagged");
    EXPECT_EQ(p["rule"], "lead_line");
    EXPECT_EQ(p["rules"], Json::parse(R"(["lead_line","before_1970"])"));
    EXPECT_EQ(p["catzoc"], "B");
    EXPECT_EQ(p["begun"], "1940-01-01");
    EXPECT_EQ(p["ended"], "1949-12-31");
    EXPECT_EQ(p["not_after"], "");
    EXPECT_EQ(p["techniques"], Json::parse("[5]"));
    EXPECT_EQ(p["square_m"], 16e6);
    EXPECT_EQ(all["features"][1]["properties"]["role"], "unflagged");
    EXPECT_EQ(all["features"][2]["properties"]["rule"], "no_coverage");
    EXPECT_EQ(all["features"][3]["properties"]["role"], "chart");
    EXPECT_EQ(all["dangerline"]["counts"]["areas"], 4);
    EXPECT_EQ(all["dangerline"]["rules"].size(), survey::flag_rules().size());
}

TEST(SurveyOverlay, gives_each_hazard_with_a_date_of_its_own) {
    const Json all = Json::parse(written());
    const Json& point = all["features"][4];
    EXPECT_EQ(point["geometry"]["type"], "Point");
    const Json& p = point["properties"];
    EXPECT_EQ(p["role"], "hazard");
    EXPECT_EQ(p["class"], "WRECKS");
    EXPECT_EQ(p["rule"], "undated");
    EXPECT_EQ(p["date_known"], "bound_only");
    EXPECT_EQ(p["not_after"], "1936-12-31");
    EXPECT_FALSE(p.contains("age_years")) << "the date of a source is a bound alone";
    EXPECT_EQ(p["at_least_years"], 89.4);
    EXPECT_EQ(p["position_doubt_m"], 500.0);
    EXPECT_EQ(p["depth_doubt_m"], 2.0);
    EXPECT_EQ(p["charted_depth_m"], 2.1);
    EXPECT_EQ(p["distance_m"], 40.0);
    EXPECT_EQ(p["nearest"], "Out");
    const Json& unread = all["features"][5];
    EXPECT_EQ(unread["geometry"]["type"], "MultiLineString") << "it crosses 180 degrees";
    EXPECT_EQ(unread["properties"]["date_known"], "none");
    EXPECT_FALSE(unread["properties"].contains("at_least_years")) << "0.0 would be an age";
    EXPECT_FALSE(unread["properties"].contains("distance_m"));
    EXPECT_EQ(all["features"][6]["geometry"]["type"], "MultiPolygon");
    EXPECT_EQ(all["features"][6]["properties"]["rule"], "");
    EXPECT_EQ(all["dangerline"]["counts"]["hazards"], 3);
    EXPECT_EQ(all["dangerline"]["counts"]["hazards_flagged"], 2);
    EXPECT_EQ(all["dangerline"]["counts"]["hazards_left_out"], 2);
}

TEST(SurveyOverlay, the_bbox_is_that_of_all_features_across_180_degrees) {
    const Json bbox = Json::parse(written())["bbox"];
    EXPECT_NEAR(bbox[0].get<double>(), 179.9265, 1e-3);
    EXPECT_NEAR(bbox[2].get<double>(), -179.9465, 1e-3);
}

TEST(SurveyOverlay, the_table_says_what_to_do_first) {
    const std::string csv = survey_csv(a_summary(a_cell()));
    EXPECT_NE(
        csv.find("1,XX3DEMO2,1,0,20240101,882,45000,41.00,16.00,16.00,39.0,1940,lead_line,16.00,get the "
                 "chart's updates; then sound again or ask for a newer survey\r\n"),
        std::string::npos)
        << csv;
    const auto step = [](auto change) {
        auto summary = a_summary(a_cell());
        change(summary);
        const std::string text = survey_csv(summary);
        const auto from = text.rfind(',') + 1;
        return text.substr(from, text.size() - 2 - from);
    };
    EXPECT_EQ(step([](auto& s) { s.rows[0].note = reports::some_cells()[0]; }),
              "sound again or ask for a newer survey")
        << "updated 31 days ago";
    EXPECT_EQ(step([](auto& s) {
                  s.rows[0].note = reports::some_cells()[3]; // 151 days: its updates first
                  s.rows[0].by_flag_m2 = {{Flag::undated, 5.0}, {Flag::zone_u, 5.0}};
              }),
              "get the chart's updates; then ask when and how it was surveyed");
    EXPECT_EQ(step([](auto& s) { s.rows[0].survey_m2 = 0.0; }), "get the chart's updates");
    EXPECT_EQ(step([](auto& s) {
                  s.rows[0].by_flag_m2 = {{Flag::undated, 5.0}, {Flag::chart_not_updated, 41.0}};
              }),
              "get the chart's updates; then ask when and how it was surveyed")
        << "the age of the chart says nothing of its surveys";
    EXPECT_EQ(step([](auto& s) { s.rows[0].note = reports::some_cells()[2]; }),
              "see when the chart was last updated; then sound again or ask for a newer survey");
    EXPECT_EQ(step([](auto& s) {
                  s.as_of.reset();
                  s.rows[0].note.days_since.reset();
              }),
              "get the chart's updates; then sound again or ask for a newer survey")
        << "without a day of use any chart may be old";
}

TEST(SurveyOverlay, writes_a_sample_for_the_schema) {
    std::filesystem::create_directories(DANGERLINE_SAMPLES);
    std::ofstream(std::filesystem::path(DANGERLINE_SAMPLES) / "survey.geojson", std::ios::binary)
        << written();
}

} // namespace
} // namespace dangerline::overlay
