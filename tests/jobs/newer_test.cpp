#include "jobs/newer_plans.hpp"

namespace dangerline {
namespace {

using namespace newer_plans;

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

// The passage lays out only what it asks for the place of: charted cables and pipes must be among that.
TEST(Newer, PassageAndCompareTellTheSame) {
    const auto plan = plan::read(demo("club.toml"));
    const auto compared = jobs::run_compare(plan);
    const auto passage = jobs::run_passage(plan, std::nullopt);
    EXPECT_EQ(counted(passage.diagnostics), counted(compared.diagnostics));
    EXPECT_NE(counted(passage.diagnostics), "nothing");
    // The outfall as the chart has it is no uncharted one.
    const support::TemporaryFolder folder;
    const auto file =
        folder.file("outfall.geojson", R"({"type": "FeatureCollection", "features": [{"type": "Feature",
"properties": {"kind": "outfall"}, "geometry": {"type": "LineString", "coordinates": [[-27.94026, 46.08028],
[-27.93923, 46.07467], [-27.93858, 46.06982]]}}]})");
    const auto same = jobs::run_passage(
        plan::read(club(folder, {{"file = \"newer.geojson\"", "file = \"" + file.string() + "\""}})),
        std::nullopt);
    for (const auto& f : same.routes.at(0).check.findings)
        EXPECT_NE(f.object.cls, "PIPSOL") << f.reason;
    EXPECT_TRUE(counted(same.diagnostics).find(" 0 of them now") != std::string::npos)
        << counted(same.diagnostics);
}

TEST(Newer, TellsTheMostDangerousFirst) {
    const auto outcome = jobs::run_compare(plan::read(demo("club.toml"))).newer.at(0);
    const auto& all = outcome.changes;
    const auto key = [](const NewerChange& c) { return std::pair(jobs::kind_of(c), c.off_m.value_or(-1.0)); };
    EXPECT_TRUE(std::is_sorted(all.begin(), all.end(),
                               [&](const auto& a, const auto& b) { return key(a) < key(b); }));
    for (const auto& change : all) {
        ASSERT_TRUE(change.off_m) << change.sentence;
        EXPECT_EQ(change.off, "Slip to the wreck mark");
    }
    using jobs::NewerKind;
    EXPECT_EQ(jobs::kind_of(all.front()), NewerKind::missing);
    EXPECT_EQ(jobs::kind_of(all.back()), NewerKind::gone);
    const auto* turbine = named(outcome, Change::missing, "FW 2");
    EXPECT_NEAR(*turbine->off_m, 23.0, 1.0);
    EXPECT_NEAR(turbine->place.lon_deg, -27.895176, 1e-6);
    EXPECT_EQ(jobs::kind_of(*named(outcome, Change::missing, "FW 2")), NewerKind::missing);
    for (const auto* change : of(outcome, Change::missing))
        EXPECT_EQ(jobs::kind_of(*change) == NewerKind::rules,
                  change->newer.cls == "CBLSUB" || change->newer.cls == "OSPARE")
            << change->sentence << " Nothing a boat strikes?";
    EXPECT_EQ(jobs::kind_of(*named(outcome, Change::depth_differs, "Trawler wreck")), NewerKind::shoaler);
}

// A turbine 23 m from the line: drawn as a point it has a size all the same.
TEST(Newer, PointsOfSolidStructuresHaveASize) {
    const support::TemporaryFolder folder;
    const auto assumed = jobs::run_passage(plan::read(club(folder)), std::nullopt);
    const auto* f = finding_of(assumed, "FW 2");
    ASSERT_TRUE(f);
    EXPECT_EQ(f->grade, hazard::Grade::danger) << f->reason;
    EXPECT_NE(f->reason.find("its radius taken as 25 m"), std::string::npos) << f->reason;
    const auto& said = assumed.plan.assumptions;
    EXPECT_TRUE(std::any_of(said.begin(), said.end(), [](const std::string& s) {
        return s.find("a platform of newer data drawn as a point without a size is taken as 25 m") == 0;
    }));
    const auto own = jobs::run_passage(
        plan::read(club(folder, {{"position_m = 10\n", "position_m = 10\nradius_m = 3\n"}})), std::nullopt);
    ASSERT_TRUE(finding_of(own, "FW 2"));
    // Farther off than 15 m, but not by the doubt of a place that no chart shows.
    EXPECT_EQ(finding_of(own, "FW 2")->grade, hazard::Grade::caution) << finding_of(own, "FW 2")->reason;
    EXPECT_EQ(finding_of(own, "FW 2")->cause, hazard::Cause::position);
    EXPECT_NEAR(finding_of(own, "FW 2")->distance_m, 20.0, 1.0);
    // What the source states counts before both.
    std::string text = support::read_file(demo("newer.geojson"));
    const std::string at = "\"title\": \"FW 2\"";
    text.replace(text.find(at), at.size(), at + ", \"across\": 12");
    const auto file = folder.file("sized.geojson", text);
    const auto stated = jobs::run_passage(
        plan::read(
            club(folder, {{"file = \"newer.geojson\"", "file = \"" + file.string() + "\""},
                          {"\"title\" = \"OBJNAM\"", "\"title\" = \"OBJNAM\", \"across\" = \"HORWID\""}})),
        std::nullopt);
    EXPECT_NE(finding_of(stated, "FW 2")->reason.find("its radius taken as 6 m"), std::string::npos)
        << finding_of(stated, "FW 2")->reason;
    const auto compared = jobs::run_compare(plan::read(club(folder)));
    EXPECT_EQ(named(compared.newer.at(0), Change::missing, "FW 2")->radius_m, 25.0);
    EXPECT_FALSE(named(compared.newer.at(0), Change::missing, "Lanner Works")->radius_m);
}

// Turbines named as landmarks stand there though nobody states their kind; landmarks of another kind do not
// drop out without a word.
TEST(Newer, LandmarksOfNoStatedKindAreTurbines) {
    const support::TemporaryFolder folder;
    const std::pair<std::string, std::string> landmarks{"\"turbine\" = \"OFSPLF\"",
                                                        "\"turbine\" = \"LNDMRK\""};
    const auto compared = jobs::run_compare(plan::read(club(folder, {landmarks})));
    const auto& outcome = compared.newer.at(0);
    EXPECT_EQ(outcome.compared, jobs::run_compare(plan::read(club(folder))).newer.at(0).compared);
    const auto* turbine = named(outcome, Change::missing, "FW 2");
    ASSERT_TRUE(turbine);
    EXPECT_TRUE(turbine->difference.adds);
    EXPECT_EQ(turbine->radius_m, 5.0);
    EXPECT_TRUE(finding_of(jobs::run_passage(plan::read(club(folder, {landmarks})), std::nullopt), "FW 2"));
    // Every one of them a chimney (CATLMK 3).
    std::string text = support::read_file(demo("newer.geojson"));
    const std::string kind = "\"kind\": \"turbine\"";
    for (auto at = text.find(kind); at != std::string::npos; at = text.find(kind, at + kind.size()))
        text.insert(at, "\"what\": 3, ");
    const auto file = folder.file("chimneys.geojson", text);
    const auto other = jobs::run_compare(plan::read(
        club(folder, {landmarks,
                      {"file = \"newer.geojson\"", "file = \"" + file.string() + "\""},
                      {"\"title\" = \"OBJNAM\"", "\"title\" = \"OBJNAM\", \"what\" = \"CATLMK\""}})));
    EXPECT_EQ(other.newer.at(0).compared, outcome.compared - 6);
    EXPECT_TRUE(std::any_of(other.diagnostics.begin(), other.diagnostics.end(), [](const Diagnostic& d) {
        return d.severity == Severity::warning && d.object == "LNDMRK" &&
               d.what == "6 objects with a CATLMK other than wind motor (19); not compared";
    }));
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
