// What a plan says of surveys and moving bottoms.
#include "dangerline/plan/plan.hpp"

#include <gtest/gtest.h>

#include "plan/made_plan.hpp"

using namespace dangerline;
using survey::Moving;

namespace {

const std::string& head = made_plan::least;

plan::Plan read(const std::string& more) {
    return made_plan::read(head + more);
}

std::string refusal(const std::string& more) {
    return made_plan::refusal(head + more);
}

const std::string ring = "area = [[-27.9, 46.0], [-27.8, 46.0], [-27.8, 46.1]]\n";

} // namespace

TEST(PlanSurvey, settings_come_before_defaults) {
    const auto plan = read(R"([survey]
b_since_year = 1970
undated_years = 60
bar_depth_m = 6
[survey.sand_waves]
m_per_year = 12.5
[survey.bar]
years = 0.5
)");
    EXPECT_EQ(plan.trust.b_since_year, 1970);
    EXPECT_EQ(plan.trust.undated_years, 60.0);
    EXPECT_EQ(plan.trust.bar_depth_m, 6.0);
    EXPECT_EQ(plan.trust.mouth_depth_m, 5.0);
    EXPECT_EQ(plan.trust.rule(Moving::sand_waves).metres_per_year, 12.5);
    EXPECT_EQ(plan.trust.rule(Moving::sand_waves).years, 10.0);
    EXPECT_EQ(plan.trust.bar_years, 0.5);
    EXPECT_EQ(read("").trust.bar_years, 1.0);
}

TEST(PlanSurvey, moving_bottoms) {
    const auto plan =
        read("[[moving]]\nname = \"Withy Bar\"\nkind = \"bar\"\nsurveyed = 2025-03-01\n" + ring +
             "[[moving]]\nname = \"Mouth\"\nkind = \"river mouth\"\nm_per_year = 7\n"
             "years = 2\nsurveyed = 2019\narea = \"mouth.geojson\"\n");
    ASSERT_EQ(plan.moving.size(), 2U);
    EXPECT_EQ(plan.moving[0].kind, Moving::bar);
    EXPECT_EQ(plan.moving[0].ring.size(), 3U);
    EXPECT_EQ(plan.moving[0].surveyed->earliest, (CalendarDay{2025, 3, 1}));
    EXPECT_FALSE(plan.moving[0].metres_per_year);
    EXPECT_EQ(plan.moving[1].kind, Moving::river_mouth);
    EXPECT_EQ(plan.moving[1].metres_per_year, 7.0);
    EXPECT_EQ(plan.moving[1].surveyed->latest, (CalendarDay{2019, 12, 31}));
    EXPECT_EQ(plan.moving[1].file.filename(), "mouth.geojson");
}

// What every moving bottom of the plan says of itself is no assumption.
TEST(PlanSurvey, assumes_only_what_counts) {
    const auto said = [](const std::string& more) {
        for (const auto& sentence : read(more).assumptions)
            if (sentence.starts_with("moving bottom"))
                return sentence;
        return std::string();
    };
    const auto moving = [](const std::string& kind, const std::string& keys) {
        return "[[moving]]\nname = \"" + kind + std::to_string(keys.size()) + "\"\nkind = \"" + kind +
               "\"\n" + keys + ring;
    };
    const auto has = [](const std::string& text, const char* words) {
        return text.find(words) != std::string::npos;
    };
    const std::string none = said("");
    for (const char* words : {"bank", "river mouth", "channel", "90 m"})
        EXPECT_FALSE(has(none, words)) << none;
    EXPECT_TRUE(has(none, "sand waves 5 m a year, flagged after 10; bar flagged after 1")) << none;
    EXPECT_TRUE(has(said(moving("bank", "")), "bank 19 m a year, flagged after 10"));
    const std::string rate = said(moving("bank", "m_per_year = 4\n"));
    EXPECT_TRUE(has(rate, "bank flagged after 10")) << rate;
    EXPECT_FALSE(has(rate, "19 m")) << rate;
    const std::string both = said(moving("bank", "m_per_year = 4\nyears = 3\n"));
    EXPECT_FALSE(has(both, "bank")) << both;
    EXPECT_TRUE(
        has(said(moving("bank", "m_per_year = 4\nyears = 3\n") + moving("bank", "")), "bank 19 m a year"))
        << "the other says nothing of itself";
    EXPECT_TRUE(has(said(moving("river mouth", "")), "a river mouth moves under less than 5 m"));
    EXPECT_EQ(
        said("[survey]\nbar_depth_m = 6\nundated_years = 60\n[survey.sand_waves]\nm_per_year = 5\nyears = "
             "10\n[survey.soft]\nm_per_year = 0\nyears = 25\n[survey.bar]\nyears = 1\n"),
        "");
}

TEST(PlanSurvey, refusals_name_the_key) {
    const auto says = [](const std::string& more, const std::string& words) {
        EXPECT_NE(refusal(more).find(words), std::string::npos) << refusal(more);
    };
    says("[survey]\nbar_depth = 3\n", "bar_depth_m");
    says("[survey]\nb_since_year = 1500\n", "survey.b_since_year");
    says("[survey.bank]\nm_per_year = -1\n", "survey.bank.m_per_year");
    says("[[moving]]\nkind = \"bar\"\n" + ring, "name");
    says("[[moving]]\nname = \"A\"\nkind = \"dune\"\n" + ring, "unknown kind");
    says("[[moving]]\nname = \"A\"\nkind = \"bar\"\n", "area");
    says("[[moving]]\nname = \"A\"\nkind = \"bar\"\narea = [[1, 2], [3, 4]]\n", "bound nothing");
    says("[[moving]]\nname = \"A\"\nkind = \"bar\"\narea = [[46, 200], [1, 2], [3, 4]]\n", "out of range");
    says("[[moving]]\nname = \"A\"\nkind = \"bar\"\nsurveyed = \"last year\"\n" + ring, "is no date");
}
