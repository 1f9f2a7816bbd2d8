#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <sstream>

#include "dangerline/command.hpp"
#include "support/support.hpp"

namespace {

struct Said {
    int code;
    std::string out, err;
};

Said run(const std::vector<std::string>& words) {
    std::ostringstream out, err;
    const int code = dangerline::command::program(words, out, err);
    return {code, out.str(), err.str()};
}

} // namespace

// Ages, rules, lengths of routes and files of a plan; cells of a folder ranked.
TEST(Program, survey_of_a_plan_and_of_a_folder) {
    const support::TemporaryFolder folder;
    const std::string demo = (support::testdata() / "demo").string(), out = (folder.path() / "out").string();
    const Said plan = run({"survey", demo + "/survey.toml", "--out", out});
    ASSERT_EQ(plan.code, 0) << plan.err;
    for (const char* words :
         {"surveyed by lead line", "a bar surveyed more than a year ago",
          "Up the Withy: 1.25 of 1.25 NM over flagged", "Very poor survey (CATZOC D), undated"})
        EXPECT_NE(plan.out.find(words), std::string::npos) << words << " in\n" << plan.out;
    for (const char* words : {"Ages are reckoned at 2026-06-16",
                              "Assumed:", "Bank \"Sallow Bank\": 10 m a year (as the plan says)",
                              "the channel \"Cobbler Gut\" may have moved by 77 m",
                              "155 days old: get its updates", "Single dangers with a date of their own"})
        EXPECT_NE(plan.out.find(words), std::string::npos) << words << " in\n" << plan.out;
    const Said charts = run({"survey", demo, "--as-of", "2026-06-16", "--out", out});
    ASSERT_EQ(charts.code, 0) << charts.err;
    const std::string csv = support::read_file(folder.path() / "out" / "survey.csv");
    EXPECT_EQ(std::count(csv.begin(), csv.end(), '\n'), 3);
    EXPECT_NE(csv.find("\r\n1,X13DEMO2,"), std::string::npos) << csv;
    EXPECT_NE(csv.find("get the chart's updates; then sound again"), std::string::npos) << csv;
    EXPECT_EQ(charts.out.find("the chart's last update is more than"), std::string::npos) << charts.out;
    // Two years later, or without a day of use, no chart is known to be updated.
    const Said late = run({"survey", demo, "--as-of", "2028-06-16", "--out", out});
    const Said undated = run({"survey", demo, "--out", out});
    EXPECT_NE(undated.out.find("Ages are not known"), std::string::npos) << undated.out;
    EXPECT_NE(undated.out.find("last update of unknown age: get its updates"), std::string::npos)
        << undated.out;
    for (const Said& said : {late, undated})
        EXPECT_NE(said.out.find("(100.0 %)  the chart's last update is more than 365 days old"),
                  std::string::npos)
            << said.out;
    const std::string unknown = support::read_file(folder.path() / "out" / "survey.csv");
    EXPECT_NE(unknown.find("get the chart's updates; then sound again"), std::string::npos) << unknown;
    const std::string overlay = support::read_file(folder.path() / "out" / "survey.geojson");
    EXPECT_EQ(overlay.find("\"role\":\"unflagged\""), std::string::npos);
    EXPECT_NE(overlay.find("\"role\":\"flagged\""), std::string::npos);
}

TEST(Program, survey_refuses_what_does_not_go_together) {
    const support::TemporaryFolder folder;
    const std::string plan = (support::testdata() / "demo/survey.toml").string();
    const std::string out = (folder.path() / "out").string();
    const Said both = run({"survey", plan, "--as-of", "2026-06-16", "--out", out});
    EXPECT_EQ(both.code, 2);
    EXPECT_NE(both.err.find("a plan stands alone"), std::string::npos) << both.err;
    EXPECT_EQ(run({"survey", plan, plan, "--out", out}).code, 2);
    EXPECT_EQ(run({"survey", plan, "--as-of", "yesterday", "--out", out}).code, 2);
    EXPECT_EQ(run({"survey", "--out", out}).code, 2);
    EXPECT_EQ(run({"survey", folder.path().string() + "/none", "--out", out}).code, 1);
    EXPECT_FALSE(std::filesystem::exists(out));
}
