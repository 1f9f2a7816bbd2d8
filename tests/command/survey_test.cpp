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
    // Without a day of use ages are not known.
    const Said undated = run({"survey", demo, "--out", out});
    EXPECT_NE(undated.out.find("Ages are not known"), std::string::npos) << undated.out;
    EXPECT_EQ(support::read_file(folder.path() / "out" / "survey.csv").find("updates"), std::string::npos)
        << "of an unknown age nothing follows";
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
