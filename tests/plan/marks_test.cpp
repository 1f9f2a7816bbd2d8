// Marks of a plan.
#include "dangerline/plan/plan.hpp"

#include <gtest/gtest.h>

#include "plan/made_plan.hpp"

using namespace dangerline;

namespace {

const std::string& head = made_plan::least;

plan::Plan read(const std::string& more) {
    return made_plan::read(head + more);
}

std::string refusal(const std::string& more) {
    return made_plan::refusal(head + more);
}

} // namespace

TEST(PlanMarks, read) {
    const auto plan = read(R"([[mark]]
name = "Ledge"
position = [-27.90, 46.05]
at = "2026-06-16 07:30"
stay_h = 4.5
[[mark]]
name = "Wreck"
position = [-27.80, 46.05]
)");
    ASSERT_EQ(plan.marks.size(), 2u);
    EXPECT_EQ(plan.marks[0].position, (geo::Position{-27.90, 46.05}));
    EXPECT_EQ(plan.marks[0].at, "2026-06-16 07:30");
    EXPECT_EQ(plan.marks[0].stay_s, 4.5 * 3600.0);
    EXPECT_TRUE(plan.marks[0].stay_given);
    EXPECT_EQ(plan.marks[1].stay_s, 6.0 * 3600.0);
    EXPECT_FALSE(plan.marks[1].stay_given);
}

TEST(PlanMarks, refused) {
    const std::string good = "[[mark]]\nname = \"Ledge\"\nposition = [-27.90, 46.05]\n";
    EXPECT_NE(refusal(good + good).find("two marks"), std::string::npos) << refusal(good + good);
    EXPECT_NE(refusal("[[mark]]\nname = \"Ledge\"\n").find("mark[1].position"), std::string::npos);
    EXPECT_NE(refusal("[[mark]]\nposition = [-27.90, 46.05]\n").find("mark[1].name"), std::string::npos);
    EXPECT_NE(refusal(good + "stay_h = 0\n").find("mark[1].stay_h"), std::string::npos);
    EXPECT_NE(refusal(good + "at = \"noon\"\n").find("mark[1].at"), std::string::npos);
}
