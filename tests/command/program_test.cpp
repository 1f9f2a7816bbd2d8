#include <gtest/gtest.h>

#include <algorithm>
#include <sstream>

#include "dangerline/chart/record.hpp"
#include "dangerline/command.hpp"
#include "support/support.hpp"

using dangerline::command::program;
namespace fs = std::filesystem;

namespace {

struct Ran {
    int code = 0;
    std::string out, err;
};

Ran run(const std::vector<std::string>& words) {
    std::ostringstream out, err;
    Ran r;
    r.code = program(words, out, err);
    r.out = out.str();
    r.err = err.str();
    return r;
}

std::string demo(const std::string& name) {
    return (support::testdata() / "demo" / name).string();
}

/// A copy of the demo's plan with one text replaced, its files named by full path.
std::string spoiled_plan(const support::TemporaryFolder& folder, const std::string& from,
                         const std::string& to) {
    std::string plan = support::read_file(demo("plan.toml"));
    for (const std::string name : {"X14DEMO1.000", "X13DEMO2.000", "notes.geojson", "tide.csv", "routes.gpx",
                                   "rook-quay.csv", "gannet-head.csv"})
        for (auto at = plan.find("\"" + name); at != std::string::npos; at = plan.find("\"" + name, at + 1))
            plan.replace(at + 1, name.size(), demo(name));
    const auto at = plan.find(from);
    EXPECT_NE(at, std::string::npos) << from;
    plan.replace(at, from.size(), to);
    return folder.file("plan.toml", plan).string();
}

} // namespace

TEST(Program, passage_of_the_demo_writes_its_overlay) {
    const support::TemporaryFolder folder;
    const auto out = folder.path() / "out";
    const Ran r = run({"passage", demo("plan.toml"), "--out", out.string()});
    EXPECT_EQ(r.code, 0) << r.err;
    EXPECT_TRUE(fs::exists(out / "passage.geojson"));
    EXPECT_TRUE(fs::exists(out / "manifest.json"));
    EXPECT_NE(r.out.find("Inside the ledge"), std::string::npos);
    EXPECT_NE(r.out.find("not for navigation"), std::string::npos);
}

// 1.2 kn do not hold the line off the headland: what lies behind has no clock time, and no tightest passing.
TEST(Program, behind_a_leg_that_is_not_held_no_time_is_printed) {
    const support::TemporaryFolder folder;
    const auto out = folder.path() / "out";
    const std::string first = "pick = \"Slip to the wreck mark\"\n";
    const Ran r =
        run({"passage", spoiled_plan(folder, first, first + "speed = \"1.2 kn\"\n"), "--out", out.string()});
    ASSERT_EQ(r.code, 0) << r.err;
    const std::string route = r.out.substr(0, r.out.find("\n\n", r.out.find("Slip to the wreck mark:")));
    for (const char* words : {", arrives at no known time\n", " to no known time, ", "at no known time, ",
                              "--:--  Wreck Mark: not known, no time is known for this place"})
        EXPECT_NE(route.find(words), std::string::npos) << words << "\n" << route;
    const std::string json = support::read_file(out / "passage.geojson");
    EXPECT_NE(json.find("\"arrival\":null"), std::string::npos);
}

TEST(Program, season_of_the_demo_tells_what_opens_closes_and_shuts_out) {
    const support::TemporaryFolder folder;
    const Ran r = run({"season", demo("season.toml"), "--out", (folder.path() / "out").string()});
    ASSERT_EQ(r.code, 0) << r.err;
    for (const char* words :
         {"Asked: on Sat Sun, by civil twilight, home by 21:30, at most 4.0 h, launching at 1.5 m of tide or "
          "more, recovery at 1.5 m of tide or more.\n",
          "; turn back by ", ", else stuck outside until ", " open after: ", " close with: ",
          "What limits it, the largest share of the season first", " m less tide"})
        EXPECT_NE(r.out.find(words), std::string::npos) << words << "\n" << r.out;
}

TEST(Program, same_input_gives_same_bytes) {
    const support::TemporaryFolder folder;
    const auto a = folder.path() / "a", b = folder.path() / "b";
    ASSERT_EQ(run({"passage", demo("plan.toml"), "--out", a.string()}).code, 0);
    ASSERT_EQ(run({"passage", demo("plan.toml"), "--out", b.string()}).code, 0);
    EXPECT_EQ(support::read_file(a / "passage.geojson"), support::read_file(b / "passage.geojson"));
}

TEST(Program, inside_the_ledge_is_danger_at_low_water_and_not_at_high_water) {
    const support::TemporaryFolder folder;
    const auto out = (folder.path() / "out").string();
    const auto pick = [](const std::string& text) { return text.substr(text.find("Inside the ledge")); };
    // Spring tide of 16 June 2026 by the demo's constants: `dangerline tide` gives the hours.
    bool seen_danger = false, seen_better = false;
    for (int hour = 0; hour < 13; ++hour) {
        const std::string depart =
            "2026-06-16 " + std::string(hour < 10 ? "0" : "") + std::to_string(hour) + ":00Z";
        const Ran r = run({"passage", demo("plan.toml"), "--depart", depart, "--out", out});
        ASSERT_EQ(r.code, 0) << r.err;
        const std::string route = pick(r.out);
        (route.find("Worst: danger") != std::string::npos ? seen_danger : seen_better) = true;
    }
    EXPECT_TRUE(seen_danger);
    EXPECT_TRUE(seen_better);
}

TEST(Program, zones_reckon_ages_at_the_departure_where_the_plan_names_no_day) {
    const support::TemporaryFolder folder;
    const auto out = folder.path() / "out";
    const Ran r =
        run({"zones", spoiled_plan(folder, "as_of = 2026-06-16", ""), "--tide", "3", "--out", out.string()});
    EXPECT_EQ(r.code, 0) << r.err;
    const std::string zones = support::read_file(out / "zones.geojson");
    EXPECT_NE(zones.find("2026-06-16"), std::string::npos);
    EXPECT_EQ(zones.find("1970-01-01"), std::string::npos);
}

TEST(Program, stop_at_names_grades_and_implies_nothing) {
    const support::TemporaryFolder folder;
    const auto out = (folder.path() / "out").string();
    EXPECT_EQ(run({"passage", demo("plan.toml"), "--stop-at", "caution", "--out", out}).code, 3);
    EXPECT_EQ(run({"passage", demo("plan.toml"), "--stop-at", "nonsense", "--out", out}).code, 2);
}

TEST(Program, zones_tide_and_chart_run_on_the_demo) {
    const support::TemporaryFolder folder;
    const auto out = folder.path() / "out";
    EXPECT_EQ(run({"zones", demo("plan.toml"), "--tide", "0,5", "--out", out.string()}).code, 0);
    EXPECT_TRUE(fs::exists(out / "zones.geojson"));
    const Ran tide =
        run({"tide", demo("plan.toml"), "--from", "2026-06-16 00:00", "--to", "2026-06-17 00:00"});
    EXPECT_EQ(tide.code, 0) << tide.err;
    EXPECT_NE(tide.out.find("HW"), std::string::npos);
    const Ran chart = run({"chart", demo("X14DEMO1.000"), "--as-of", "2026-06-01"});
    EXPECT_EQ(chart.code, 0) << chart.err;
    EXPECT_NE(chart.out.find("UWTROC"), std::string::npos);
}

struct Bad {
    const char* from;
    const char* to;
    const char* words; ///< expected in the message
    int code;
};

class BadPlan : public testing::TestWithParam<Bad> {};

TEST_P(BadPlan, is_refused_with_one_clear_message_and_nothing_written) {
    const support::TemporaryFolder folder;
    const auto out = folder.path() / "out";
    const Ran r =
        run({"passage", spoiled_plan(folder, GetParam().from, GetParam().to), "--out", out.string()});
    EXPECT_EQ(r.code, GetParam().code) << r.err;
    EXPECT_NE(r.err.find(GetParam().words), std::string::npos) << r.err;
    EXPECT_EQ(std::count(r.err.begin(), r.err.end(), '\n'), 1) << r.err;
    EXPECT_FALSE(fs::exists(out));
}

INSTANTIATE_TEST_SUITE_P(Rows, BadPlan,
                         testing::Values(Bad{"draught_m", "draugth_m", "draught_m", 2},
                                         Bad{"\"12 kn\"", "12", "unit", 2},
                                         Bad{"\"SW 12 kn\"", "\"SW 12\"", "unit", 2},
                                         Bad{"swell_m = 0.4", "rate_max = 2.5", "unit", 2},
                                         Bad{"datum = 23", "datum = 12", "[[tide.link]]", 2},
                                         Bad{"2026-06-16 07:00", "2026-06-16 27:00", "2026-06-16 27:00", 2},
                                         Bad{"X14DEMO1.000", "nowhere.000", "no such file", 1}));

TEST(Program, bad_charts_and_routes_are_refused) {
    const support::TemporaryFolder folder;
    const auto refused = [&](const std::string& name, const std::string& bytes) {
        const Ran r = run({"chart", folder.file(name, bytes).string()});
        EXPECT_EQ(r.code, 1) << name;
        EXPECT_NE(r.err.find(name), std::string::npos) << r.err;
    };
    refused("EMPTY.000", "");
    using namespace dangerline::chart; // the head of a cell of the newer standard, by field tags from memory
    refused("NEWER.000", describing_record({{"DSID", "", "Data Set Identification", "RCNM!RCID!ENSP!ENED",
                                             "(b11,b14,2A)"}}) +
                             data_record({{"DSID", "INT.IHO.S-101.1.0"}}));
    refused("PICTURE.000", "\x89PNG\r\n\x1a\n and more");
    const std::string cell = support::read_file(demo("X14DEMO1.000"));
    refused("X14DEMO1.000", cell.substr(0, cell.size() / 2 + 7));
    EXPECT_EQ(run({"chart", (folder.path() / "missing.000").string()}).code, 1);

    const auto route = [&](const std::string& coordinates) {
        const auto line =
            folder.file("line.geojson", R"({"type":"FeatureCollection","features":[{"type":"Feature",)"
                                        R"("properties":{"name":"L"},"geometry":{"type":"LineString",)"
                                        R"("coordinates":[)" +
                                            coordinates + "]}}]}");
        std::string plan = support::read_file(spoiled_plan(folder, "title", "title"));
        plan = plan.substr(0, plan.find("[[route]]")) + "[[route]]\nfile = \"" + line.string() + "\"\n";
        return run(
            {"passage", folder.file("p.toml", plan).string(), "--out", (folder.path() / "o").string()});
    };
    EXPECT_EQ(route("[-27.93,46.06]").code, 1); // one place
    const Ran off = route("[10.0,46.06],[10.1,46.06]");
    EXPECT_EQ(off.code, 1);
    EXPECT_NE(off.err.find("no part of it lies on the charts"), std::string::npos) << off.err;
    const Ran swapped = route("[46.06,-27.93],[46.05,-27.92]");
    EXPECT_EQ(swapped.code, 1);
    EXPECT_NE(swapped.err.find("swapped"), std::string::npos) << swapped.err;
    // Partly off the chart is graded, not refused.
    const Ran partly = route("[-27.93,46.06],[-27.93,45.93]");
    EXPECT_EQ(partly.code, 0) << partly.err;
    EXPECT_NE(partly.out.find("lie on no chart"), std::string::npos) << partly.out;
}

TEST(Program, an_output_folder_behind_a_file_is_refused) {
    const support::TemporaryFolder folder;
    const auto file = folder.file("plain", "x");
    const Ran r = run({"passage", demo("plan.toml"), "--out", (file / "out").string()});
    EXPECT_EQ(r.code, 1);
    EXPECT_EQ(support::read_file(file), "x");
}

TEST(Program, a_refused_cell_among_others_is_said_and_the_others_are_reported) {
    const support::TemporaryFolder folder;
    folder.file("X14DEMO1.000", support::read_file(demo("X14DEMO1.000")));
    folder.file("X14DEMO2.000", "nothing like a chart");
    const Ran r = run({"chart", folder.path().string()});
    EXPECT_EQ(r.code, 1);
    EXPECT_NE(r.out.find("UWTROC"), std::string::npos) << r.out;
    EXPECT_NE(r.out.find("1 of 2 cells can't be used"), std::string::npos) << r.out;
    // A passage does not go on without one of its charts.
    std::string plan = support::read_file(spoiled_plan(folder, "title", "title"));
    const auto at = plan.find("charts = [");
    plan.replace(at, plan.find(']', at) + 1 - at, "charts = [\"" + folder.path().string() + "\"]");
    EXPECT_EQ(
        run({"passage", folder.file("p.toml", plan).string(), "--out", (folder.path() / "o").string()}).code,
        1);
}

TEST(Program, constants_without_a_leading_constituent_make_the_route_unknown) {
    const support::TemporaryFolder folder;
    const auto out = folder.path() / "out";
    std::string constants;
    std::istringstream all(support::read_file(demo("tide.csv")));
    for (std::string line; std::getline(all, line);)
        if (!line.starts_with("K1,"))
            constants += line + "\n";
    const auto file = folder.file("short.csv", constants);
    const Ran r =
        run({"passage", spoiled_plan(folder, demo("tide.csv"), file.string()), "--out", out.string()});
    EXPECT_EQ(r.code, 0) << r.err;
    EXPECT_NE(r.out.find("WARNING: the tide can't be relied on: short.csv lacks K1"), std::string::npos)
        << r.out;
    EXPECT_NE(r.out.find("Not known: 2.50 of 2.50 NM"), std::string::npos) << r.out;
}

TEST(Program, a_day_of_use_before_the_departure_is_said) {
    const support::TemporaryFolder folder;
    const Ran r = run({"passage", spoiled_plan(folder, "as_of = 2026-06-16", "as_of = 2026-06-01"), "--out",
                       (folder.path() / "out").string()});
    EXPECT_NE(r.out.find("WARNING: ages are reckoned at 2026-06-01"), std::string::npos) << r.out;
}

TEST(Program, what_only_doubt_reaches_is_caution_in_zones) {
    const support::TemporaryFolder folder;
    const auto out = folder.path() / "out";
    ASSERT_EQ(run({"zones", demo("plan.toml"), "--tide", "1", "--out", out.string()}).code, 0);
    const std::string zones = support::read_file(out / "zones.geojson");
    std::istringstream features(zones);
    std::size_t wide = 0;
    for (std::string line; std::getline(features, line);)
        if (line.find("\"reading\": \"wide\"") != std::string::npos ||
            line.find("\"reading\":\"wide\"") != std::string::npos) {
            ++wide;
            // Marks keep their distance of 15 m in every reading.
            if (line.find("\"radius_m\":15.0") == std::string::npos) {
                EXPECT_EQ(line.find("\"grade\":\"danger\""), std::string::npos) << line.substr(0, 400);
            }
        }
    EXPECT_GT(wide, 50U);
}

TEST(Program, a_wrong_command_line_is_2) {
    const auto zones = [](const char* tide) {
        return run({"zones", demo("plan.toml"), "--tide", tide}).code;
    };
    for (const char* no_tide : {"nan", "inf", "900"})
        EXPECT_EQ(zones(no_tide), 2) << no_tide;

    EXPECT_EQ(run({}).code, 2);
    EXPECT_EQ(run({"fly"}).code, 2);
    EXPECT_EQ(run({"passage"}).code, 2);
    EXPECT_EQ(run({"--help"}).code, 0);
}

TEST(Program, real_cell_as_charted) {
    SKIP_WITHOUT_REAL_CELLS(cells);
    const Ran r = run({"chart", cells->string(), "--as-of", "2025-12-01"});
    EXPECT_EQ(r.code, 0) << r.err;
    for (const std::string count :
         {"UWTROC  rock                         18", "WRECKS  wreck                       111",
          "OBSTRN  obstruction                 219", "SOUNDG  sounding                   3326"})
        EXPECT_NE(r.out.find(count), std::string::npos) << count << "\n" << r.out;
}

TEST(Program, compare_of_the_club_writes_overlay_and_table) {
    const support::TemporaryFolder folder;
    const auto out = folder.path() / "out";
    const Ran r = run({"compare", demo("club.toml"), "--out", out.string()});
    EXPECT_EQ(r.code, 0) << r.err;
    EXPECT_TRUE(fs::exists(out / "newer.geojson") && fs::exists(out / "soundings.csv"));
    EXPECT_TRUE(fs::exists(out / "manifest.json"));
    EXPECT_NE(r.out.find("missing from the charts"), std::string::npos);
    EXPECT_NE(r.out.find("nothing charted is taken away"), std::string::npos);
    EXPECT_NE(r.out.find("in the median of"), std::string::npos);
}

TEST(Program, compare_tells_kinds_places_and_by_what_it_judged) {
    const support::TemporaryFolder folder;
    const Ran r = run({"compare", demo("club.toml"), "--out", (folder.path() / "out").string()});
    ASSERT_EQ(r.code, 0) << r.err;
    for (const char* words :
         {"7 missing from the charts: 1 pipe or outfall, 6 platform", "1 not at its charted place: 1 wreck",
          "2 cables, pipe areas and rules that the charts lack", "2 charted, but gone from the newer data",
          "23 m from Slip to the wreck mark, 46° 03.58' N 027° 53.71' W; OFSPLF",
          "Ages are reckoned at 2026-06-16.",
          "Chart X13DEMO2 edition 2 update 0, last update 155 days old: get its updates",
          "Assumed:", "a platform of newer data drawn as a point without a size is taken as 25 m in radius"})
        EXPECT_NE(r.out.find(words), std::string::npos) << words << " in\n" << r.out;
    EXPECT_EQ(r.out.find("squat"), std::string::npos) << "nothing here depends on it";
}

TEST(Program, compare_without_anything_to_compare_is_a_wrong_plan) {
    const support::TemporaryFolder folder;
    const Ran r = run({"compare", demo("plan.toml"), "--out", (folder.path() / "out").string()});
    EXPECT_EQ(r.code, 2);
    EXPECT_NE(r.err.find("[[newer]]"), std::string::npos) << r.err;
    EXPECT_FALSE(fs::exists(folder.path() / "out"));
}
