#include "overlay/reports.hpp"

#include <filesystem>
#include <fstream>
#include <gtest/gtest.h>

#include "dangerline/overlay/anchor.hpp"
#include "support/support.hpp"

namespace dangerline::overlay {
namespace {

using reports::Json;

jobs::FoulNote a_fouling(jobs::Lies lies, double distance_m, double outside_m) {
    jobs::FoulNote note;
    note.lies = lies;
    note.outside_m = outside_m;
    note.foul.rule = &hazard::anchoring_rules().front();
    note.foul.object = {"022600000001000A", "CBLSUB", "Old cable", "XX3DEMO1"};
    note.foul.distance_m = distance_m;
    note.foul.position_m = 11.04;
    note.foul.nearest = {distance_m, 0.0};
    note.sentence = "A cable.";
    return note;
}

jobs::AnchorMark a_mark() {
    jobs::AnchorMark mark;
    mark.name = "Off the \"Tom\"";
    mark.position = {-179.9999, 45.0}; // its circle crosses 180 degrees
    mark.from = reports::noon();
    mark.to = reports::noon() + 6.0 * 3600.0;
    mark.grade = hazard::Grade::danger;
    mark.depth_m = 13.456;
    mark.moved_m = 12.34;
    mark.word = drift::RopeWord::least;
    mark.paid_out_m = 60.0;
    mark.swing_m = 75.04;
    mark.tides = {{"low water while anchored", reports::noon(), 0.4, 9.0, 36.0, 72.0, 45.0},
                  {"high water while anchored", reports::noon() + 3600.0, 4.856, 13.456, 53.8, 107.6, 67.3}};
    mark.fouls = {a_fouling(jobs::Lies::in_circle, 20.0, 0.0), a_fouling(jobs::Lies::beside, 300.0, 0.02)};
    mark.fouls[0].foul.remark = "Reported 1987";
    mark.touches = {{hazard::Grade::caution,
                     {"022600000001000B", "UWTROC", "", "XX3DEMO1"},
                     "rock",
                     "charted 0.6 m",
                     70.0,
                     1.004,
                     {-70.0, 0.0},
                     "A rock."}};
    jobs::NatureNote sand;
    sand.nature = {{4}, {1}, {"022600000001000C", "SBDARE", "", "XX3DEMO1"}, true, 0.0, 10.0};
    sand.words = "fine sand";
    sand.here = true;
    sand.holding = mark.holding = drift::Holding::suits;
    sand.why = "made for it";
    sand.source = "common practice";
    mark.natures = {sand};
    mark.pull = jobs::PullNote{400.34, 5.04, 0.7493, 54.19, 3300.4};
    mark.deadline = jobs::DeadlineNote{"rock", 400.0, 0.6, 415.0};
    mark.sentences = {"No place to anchor.", "Rope: least."};
    return mark;
}

jobs::AnchorReport some_anchoring() {
    jobs::AnchorReport report{reports::a_plan(), geo::Plane({180.0, 45.0})};
    report.cells = reports::some_cells();
    report.as_of = CalendarDay{2026, 6, 1};
    report.required_m = 2.4;
    report.required_words = "0.6 draught + 0.3 squat + 1.0 under the keel + 0.5 waves";
    report.tide_words = "fixed height 1.30 m above 23 (lowest astronomical tide)";
    report.tide_notes = {"tide of 2026 above chart datum: lowest 0.10 m, mean 2.50 m, highest 5.10 m"};
    report.assumptions = {"own position ±10 m"};
    report.marks = {a_mark(), a_mark()};
    auto& nowhere = report.marks[1];
    nowhere.name = "Off the chart";
    nowhere.position = {179.9, 45.01};
    nowhere.grade = hazard::Grade::unknown;
    nowhere.unknown = "no chart covers this water";
    nowhere.depth_m.reset();
    nowhere.deadline.reset();
    nowhere.word = drift::RopeWord::unknown;
    nowhere.tides.clear();
    nowhere.fouls.clear();
    nowhere.touches.clear();
    nowhere.natures.clear();
    report.worst = hazard::Grade::danger;
    report.diagnostics = reports::some_diagnostics();
    return report;
}

} // namespace

TEST(AnchorOverlay, TellsEachMarkWithItsCircleAndWhatLiesThere) {
    const Json all = Json::parse(anchor_geojson(some_anchoring(), "0.1.0"));
    std::vector<std::string> roles;
    for (const auto& f : all["features"])
        roles.push_back(f["properties"]["role"]);
    EXPECT_EQ(roles, (std::vector<std::string>{"mark", "swing_circle", "fouling", "fouling", "touch", "mark",
                                               "swing_circle"}));
    const Json& p = all["features"][0]["properties"];
    EXPECT_EQ(p["rope"], "least, many authorities ask 5 or more");
    EXPECT_EQ(p["depth_m"], 13.46);
    EXPECT_EQ(p["from"], "2026-06-01T12:00:00Z");
    EXPECT_EQ(p["decide_within_min"], 6.9);
    EXPECT_EQ(p["natures"][0]["bottom"], "fine sand");
    EXPECT_EQ(p["tides"][1]["in_proportion_m"], 107.6);
    EXPECT_EQ(all["features"][1]["geometry"]["coordinates"].size(), 2u) << "cut at 180 degrees";
    EXPECT_EQ(all["features"][3]["properties"]["outside_m"], 0.1);
    const Json& unknown = all["features"][5]["properties"];
    EXPECT_FALSE(unknown.contains("depth_m"));
    EXPECT_EQ(unknown["unknown"], "no chart covers this water");
    EXPECT_EQ(all["dangerline"]["counts"],
              Json::parse(R"({"marks":2,"by_grade":{"danger":1,"unknown":1,"caution":0,"note":0}})"));
    EXPECT_EQ(all["dangerline"]["assumptions"].back(), "own position ±10 m");
}

TEST(AnchorOverlay, SampleIsWritten) {
    const std::filesystem::path folder = DANGERLINE_SAMPLES;
    std::filesystem::create_directories(folder);
    std::ofstream(folder / "anchor.geojson") << anchor_geojson(some_anchoring(), "0.1.0");
    EXPECT_EQ(support::read_file(folder / "anchor.geojson"), anchor_geojson(some_anchoring(), "0.1.0"));
}

} // namespace dangerline::overlay
