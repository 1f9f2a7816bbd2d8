#include "dangerline/plan/plan.hpp"

#include "dangerline/base/error.hpp"
#include "support/support.hpp"

#include <algorithm>

#include <gtest/gtest.h>

namespace dangerline::plan {
namespace {

Plan read_with(const std::string& tables) {
    const support::TemporaryFolder folder;
    return read(folder.file("plan.toml", R"(zone = "UTC"
charts = ["chart"]
[boat]
draught_m = 0.6
speed = "12 kn"
[[tide]]
kind = "fixed"
height_m = 1
)" + tables));
}

std::string complaint(const std::string& tables) {
    try {
        read_with(tables);
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::plan);
        return failure.what();
    }
    return "nothing";
}

void expect_refused(const std::string& tables, const std::string& words) {
    EXPECT_NE(complaint(tables).find(words), std::string::npos) << complaint(tables);
}

TEST(NewerPlan, ReadsAMappingOfForeignLayers) {
    const auto plan = read_with(R"([[newer]]
file = "farm.geojson"
name = "Farm register"
class_from = "sort"
classes = { "mast" = "OFSPLF", "export line" = "CBLSUB" }
attributes = { "least depth" = "VALSOU" }
leave_out = ["buoy"]
covers = [[-28, 46], [-27, 46], [-27, 47], [-28, 46]]
dated = 2026-05-12
position_m = 8
sounding_datum = 23
moved_within_m = 300
radius_m = 4
[[newer]]
file = "X14DEMO1.000"
)");
    ASSERT_EQ(plan.newer.size(), 2U);
    const auto& n = plan.newer[0];
    EXPECT_EQ(n.name, "Farm register");
    EXPECT_EQ(n.radius_m, 4.0);
    EXPECT_FALSE(plan.newer[1].radius_m);
    EXPECT_TRUE(std::any_of(plan.newer_assumptions.begin(), plan.newer_assumptions.end(), [](const auto& s) {
        return s.find("a pile of newer data drawn as a point without a size is taken as 1 m in radius") == 0;
    })) << "the cell may hold piles";
    EXPECT_EQ(n.stated.mapping.class_from, "sort");
    EXPECT_EQ(n.stated.mapping.classes.at("export line"), "CBLSUB");
    EXPECT_EQ(n.stated.mapping.attributes.at("least depth"), "VALSOU");
    EXPECT_EQ(n.left_out, std::vector<std::string>{"buoy"});
    EXPECT_EQ(n.covers.size(), 3U) << "the ring may be closed";
    EXPECT_EQ(n.dated, (CalendarDay{2026, 5, 12}));
    EXPECT_EQ(n.position_m, 8.0);
    EXPECT_EQ(n.stated.sounding_datum, 23);
    EXPECT_EQ(n.moved_within_m, 300.0);
    EXPECT_EQ(plan.newer[1].name, "X14DEMO1.000");
    EXPECT_EQ(plan.newer[1].moved_within_m, 500.0);
    EXPECT_NE(plan.newer_assumptions.front().find("500 m and both doubts"), std::string::npos);
}

TEST(NewerPlan, RefusesClassesNobodyKnows) {
    const std::string head = "[[newer]]\nfile = \"a.geojson\"\n";
    expect_refused(head + "classes = { \"mast\" = \"TURBIN\" }", "no rule knows the class");
    expect_refused(head + "classes = { \"mast\" = \"turbine\" }", "no acronym of S-57");
    expect_refused(head + "classes = { \"mast\" = 3 }", "classes");
    expect_refused(head + "classes = \"OFSPLF\"", "classes");
    expect_refused(head + "attributes = { \"d\" = \"depth\" }", "no acronym of S-57");
    expect_refused(head + "leave_out = \"buoy\"", "a list of texts");
    expect_refused(head + "covers = [[-28, 46], [-27, 46]]", "bound nothing");
    expect_refused(head + "dated = \"May\"", "no such day");
    expect_refused(head + "position_m = 0", "out of range");
    expect_refused(head + "colour = \"red\"", "unknown key");
    expect_refused("[[newer]]\nname = \"x\"", "required key is missing");
    expect_refused(head + head, "two newer sources");
}

TEST(TriedPlan, ReadsARunAndItsSounder) {
    const auto plan = read_with(R"([[tried]]
file = "run.gpx"
pick = "Out"
by = "A. Nother"
date = 2026-05-30
draught_m = 0.5
sounder = "log.csv"
transducer_m = 0.3
)");
    ASSERT_EQ(plan.tried.size(), 1U);
    const auto& t = plan.tried[0];
    EXPECT_EQ(t.by, "A. Nother");
    EXPECT_EQ(t.date, (CalendarDay{2026, 5, 30}));
    EXPECT_EQ(t.draught_m, 0.5);
    EXPECT_EQ(t.transducer_m, 0.3);
    EXPECT_FALSE(t.tide_m);
    EXPECT_NE(plan.assumptions.back().find("for 90 days"), std::string::npos);
}

TEST(TriedPlan, RefusesEvidenceThatLacksItsFacts) {
    const std::string whole =
        "[[tried]]\nfile = \"run.gpx\"\nby = \"A\"\ndate = 2026-05-30\ndraught_m = 0.5\n";
    EXPECT_EQ(complaint(whole), "nothing");
    for (const std::string key : {"file", "by", "date", "draught_m"}) {
        std::string without = whole;
        const auto at = without.find("\n" + key + " =") + 1;
        without.erase(at, without.find('\n', at) - at + 1);
        expect_refused(without, "required key is missing");
    }
    expect_refused(whole + "sounder = \"log.csv\"", "transducer_m");
    expect_refused(whole + "transducer_m = 0.3", "no sounder log");
    expect_refused(whole + "tide_m = 99", "out of range");
    std::string nobody = whole;
    nobody.replace(nobody.find("\"A\""), 3, "\"\"");
    expect_refused(nobody, "nobody is named");
}

} // namespace
} // namespace dangerline::plan
