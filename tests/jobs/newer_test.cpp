#include "dangerline/jobs/compare.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <set>
#include <sstream>

#include "cellwriter/cell_text.hpp"
#include "dangerline/base/error.hpp"
#include "dangerline/jobs/season.hpp"
#include "dangerline/jobs/zones.hpp"
#include "support/support.hpp"

namespace dangerline {
namespace {

using jobs::NewerChange;
using survey::Change;

std::string demo(const std::string& name) {
    return (support::testdata() / "demo" / name).string();
}

/// The club's plan with the files of the demo by full path, and texts replaced.
std::filesystem::path club(const support::TemporaryFolder& folder,
                           const std::vector<std::pair<std::string, std::string>>& changes = {}) {
    std::string text = support::read_file(demo("club.toml"));
    for (const auto& [from, to] : changes) {
        const auto at = text.find(from);
        EXPECT_NE(at, std::string::npos) << from;
        if (at != std::string::npos)
            text.replace(at, from.size(), to);
    }
    for (const std::string name : {"X14DEMO1.000", "X13DEMO2.000", "tide.csv", "routes.gpx", "newer.geojson",
                                   "tried.gpx", "tried.csv"})
        for (auto at = text.find("\"" + name); at != std::string::npos; at = text.find("\"" + name, at + 1))
            text.replace(at + 1, name.size(), demo(name));
    return folder.file("club.toml", text);
}

std::vector<const NewerChange*> of(const jobs::NewerOutcome& outcome, Change change) {
    std::vector<const NewerChange*> out;
    for (const auto& one : outcome.changes)
        if (one.difference.change == change)
            out.push_back(&one);
    return out;
}

const NewerChange* named(const jobs::NewerOutcome& outcome, Change change, const std::string& name) {
    for (const auto* one : of(outcome, change))
        if (one->newer.name == name)
            return one;
    return nullptr;
}

std::string failure_of(const std::filesystem::path& plan, Fault fault) {
    try {
        jobs::run_compare(plan::read(plan));
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), fault) << failure.what();
        return failure.what();
    }
    return "nothing";
}

TEST(Newer, TellsWhatTheDemoChartLacks) {
    const auto report = jobs::run_compare(plan::read(demo("club.toml")));
    ASSERT_EQ(report.newer.size(), 1U);
    const auto& outcome = report.newer[0];
    EXPECT_TRUE(outcome.gone_judged);
    EXPECT_EQ(outcome.dated, "2026-05-12");
    // Six turbines, their area, a cable and an outfall.
    EXPECT_EQ(of(outcome, Change::missing).size(), 9U);
    const auto* turbine = named(outcome, Change::missing, "FW 2");
    ASSERT_TRUE(turbine);
    EXPECT_TRUE(turbine->difference.adds);
    EXPECT_EQ(turbine->newer.cls, "OFSPLF");
    EXPECT_TRUE(turbine->charted.cls.empty());
    const auto* moved = named(outcome, Change::moved, "Trawler wreck");
    ASSERT_TRUE(moved);
    EXPECT_NEAR(*moved->difference.metres, std::hypot(250.0, 100.0), 0.5);
    EXPECT_NEAR(moved->difference.doubt_m, 30.0, 1e-6) << "10 m stated and 20 m of CATZOC A2";
    const auto* shoaler = named(outcome, Change::depth_differs, "Trawler wreck");
    ASSERT_TRUE(shoaler);
    EXPECT_NEAR(*shoaler->difference.metres, -0.5, 1e-9);
    const auto* amaranth = named(outcome, Change::depth_differs, "Wreck of the Amaranth");
    ASSERT_TRUE(amaranth) << "the chart states no depth";
    EXPECT_FALSE(amaranth->charted_depth_m);
    const auto gone = of(outcome, Change::gone);
    std::set<std::string> classes, names;
    for (const auto* change : gone) {
        classes.insert(change->charted.cls);
        names.insert(change->charted.lnam);
        EXPECT_FALSE(change->difference.adds);
    }
    EXPECT_EQ(classes, (std::set<std::string>{"OBSTRN", "PIPSOL"})) << "and the outfall the chart shows";
    EXPECT_TRUE(names.contains("FFFF000002C90001"));
}

TEST(Newer, JoinsTheHazardsMarkedUncharted) {
    const support::TemporaryFolder folder;
    const auto with = jobs::run_passage(plan::read(club(folder)), std::nullopt);
    std::set<std::string> uncharted;
    for (const auto& f : with.routes.at(0).check.findings)
        if (f.object.uncharted) {
            uncharted.insert(f.object.name);
            EXPECT_TRUE(f.what.starts_with("uncharted ")) << f.what;
            EXPECT_NE(f.reason.find("Fallow register of 2026-05-12"), std::string::npos) << f.reason;
        }
    EXPECT_TRUE(uncharted.contains("FW 2")) << "a turbine beside the line";
    EXPECT_TRUE(uncharted.contains("Lanner Works")) << "an outfall across it";
    EXPECT_TRUE(uncharted.contains("Fallow Wind"));
    const auto zones = jobs::run_zones(plan::read(club(folder)), {2.0});
    EXPECT_TRUE(std::any_of(zones.zones.begin(), zones.zones.end(), [](const jobs::Zone& z) {
        return z.object.name == "FW 5" && z.object.uncharted && z.grade == hazard::Grade::danger;
    })) << "away from the line too";
}

TEST(Newer, NeverMakesAResultBetter) {
    const support::TemporaryFolder folder;
    const std::string text = support::read_file(demo("club.toml"));
    const auto from = text.find("[[newer]]"), to = text.find("[[route]]");
    auto without = plan::read(club(folder, {{text.substr(from, to - from), ""}}));
    auto with = plan::read(club(folder));
    with.tried.clear();
    for (const char* depart : {"2026-06-16T02:00Z", "2026-06-16T05:30Z", "2026-06-16T09:00Z"}) {
        const auto a = jobs::run_passage(without, depart), b = jobs::run_passage(with, depart);
        const auto& findings = b.routes.at(0).check.findings;
        for (const auto& f : a.routes.at(0).check.findings)
            EXPECT_TRUE(std::any_of(findings.begin(), findings.end(),
                                    [&](const auto& g) {
                                        return g.object.lnam == f.object.lnam && g.kind == f.kind &&
                                               g.grade >= f.grade && !g.object.uncharted;
                                    }))
                << depart << " " << f.reason;
    }
}

/// Every line of the demo chart but those that start with one of these; with `more` behind it.
std::string edition(const std::vector<std::string>& without, const std::string& more) {
    std::string out;
    std::istringstream in(support::read_file(demo("X14DEMO1.000.txt")));
    bool skip = false;
    for (std::string line; std::getline(in, line);) {
        if (line == "include soundings.txt")
            line = support::read_file(demo("soundings.txt"));
        if (line == "edition 3")
            line = "edition 4";
        if (line == "issued 20260302" || line == "applied 20260302")
            line.replace(line.find("20260302"), 8, "20260601");
        if (!line.starts_with("  "))
            skip = std::any_of(without.begin(), without.end(),
                               [&](const std::string& part) { return line.find(part) != std::string::npos; });
        if (!skip)
            out += line + "\n";
    }
    return out + more;
}

TEST(Newer, HoldsAnEditionAgainstAnEdition) {
    const support::TemporaryFolder folder;
    const auto text = folder.file("X14DEMO1.000.txt", edition({"fidn=712", "Comb Beacon", "fidn=714"},
                                                              "\npoint WRECKS CATWRK=2 WATLEV=3 VALSOU=1.5 "
                                                              "fidn=712 : 6150,6950\n"
                                                              "point UWTROC VALSOU=0.9 WATLEV=3 fidn=799 : "
                                                              "7000,7350\n"));
    const auto cell = folder.file("X14DEMO1.000", cellwriter::cell_from_text(text));
    const std::string original = support::read_file(demo("club.toml"));
    const auto from = original.find("[[newer]]"), to = original.find("[[tried]]"),
               end = original.find("[[route]]");
    const auto plan =
        club(folder, {{original.substr(from, to - from), "[[newer]]\nfile = \"" + cell.string() + "\"\n"},
                      {original.substr(to, end - to), ""}});
    const auto report = jobs::run_compare(plan::read(plan));
    const auto& outcome = report.newer.at(0);
    EXPECT_EQ(outcome.dated, "2026-06-01");
    EXPECT_TRUE(outcome.gone_judged);
    std::multiset<std::string> told;
    for (const auto& c : outcome.changes)
        told.insert(std::string(survey::to_text(c.difference.change)) + " " +
                    (c.newer.cls.empty() ? c.charted.cls : c.newer.cls));
    // The first update of the chart, which the new edition lacks, put an obstruction there and found a rock
    // higher; that it moved a buoy by 71 m lies within both doubts of 50 m.
    EXPECT_EQ(told, (std::multiset<std::string>{"missing UWTROC", "moved WRECKS", "depth_differs WRECKS",
                                                "gone BCNCAR", "gone OBSTRN", "gone OBSTRN",
                                                "depth_differs UWTROC"}));
    EXPECT_NEAR(*of(outcome, Change::moved).at(0)->difference.metres, 100.0, 0.2);
}

TEST(Newer, SaysOrRefusesWhatItCannotUse) {
    const support::TemporaryFolder folder;
    EXPECT_NE(failure_of(club(folder, {{"dated = 2026-05-12", "dated = 2026-07-01"}}), Fault::plan)
                  .find("after the day of use"),
              std::string::npos);
    EXPECT_NE(failure_of(club(folder, {{"sounding_datum = 23\n\n[newer", "\n[newer"}}), Fault::plan)
                  .find("sounding_datum"),
              std::string::npos);
    EXPECT_NE(failure_of(club(folder, {{"file = \"newer.geojson\"", "file = \"lost.geojson\""}}), Fault::data)
                  .find("no such file"),
              std::string::npos);
    const auto unmapped = jobs::run_compare(plan::read(club(folder, {{"\"outfall\" = \"PIPSOL\"\n", ""}})));
    EXPECT_TRUE(
        std::any_of(unmapped.diagnostics.begin(), unmapped.diagnostics.end(), [](const Diagnostic& d) {
            return d.severity == Severity::broken && d.object == "outfall" &&
                   d.what.find("without an S-57 class") != std::string::npos;
        }));
    const auto undated = jobs::run_compare(plan::read(club(folder, {{"dated = 2026-05-12\n", ""}})));
    EXPECT_TRUE(std::any_of(undated.diagnostics.begin(), undated.diagnostics.end(), [](const Diagnostic& d) {
        return d.what.find("nobody says when") != std::string::npos;
    }));
    const auto nowhere = jobs::run_compare(plan::read(club(
        folder, {{"covers = [[-28.0, 46.0405], [-27.8103, 46.0405], [-27.8103, 46.0818], [-28.0, 46.0818]]\n",
                  ""}})));
    EXPECT_FALSE(nowhere.newer.at(0).gone_judged);
    EXPECT_TRUE(of(nowhere.newer.at(0), Change::gone).empty());
}

TEST(Newer, RefusesAnObjectWithoutAPlace) {
    const support::TemporaryFolder folder;
    std::string broken = support::read_file(demo("newer.geojson"));
    const auto at = broken.find("{\"type\": \"Point\"");
    broken.replace(at, broken.find('}', at) - at + 1, "null");
    const auto file = folder.file("broken.geojson", broken);
    EXPECT_NE(failure_of(club(folder, {{"file = \"newer.geojson\"", "file = \"" + file.string() + "\""}}),
                         Fault::data)
                  .find("no place"),
              std::string::npos);
}

} // namespace
} // namespace dangerline
