// Length, bow and anchor of a plan's boat.
#include "dangerline/plan/plan.hpp"

#include <gtest/gtest.h>

#include "dangerline/base/error.hpp"
#include "plan/made_plan.hpp"

using namespace dangerline;

namespace {

const std::string head = R"(zone = "Atlantic/Azores"
charts = ["chart"]
tide = [{ kind = "fixed", height_m = 1.0, datum = 23 }]
[boat]
draught_m = 0.6
speed = "14 kn"
)";

plan::Plan read(const std::string& boat) {
    return made_plan::read(head + boat);
}

std::string refusal(const std::string& boat) {
    return made_plan::refusal(head + boat);
}

const std::string bow = "bow_height_m = 0.8\n";

std::string anchor(const std::string& pattern, const std::string& rest) {
    return bow + "[boat.anchor]\npattern = \"" + pattern + "\"\nweight_kg = 7.5\n" + rest;
}

void expect_refused(const std::string& boat, const std::string& key, const std::string& words) {
    const auto said = refusal(boat);
    EXPECT_NE(said.find(key), std::string::npos) << said;
    EXPECT_NE(said.find(words), std::string::npos) << said;
}

} // namespace

TEST(PlanAnchor, read) {
    const auto p =
        read("length_m = 5.6\n" + anchor("flat fluke", "rope_m = 60\nchain_m = 5\nchain_mm = 8\n"));
    EXPECT_EQ(p.gear.length_m, 5.6);
    EXPECT_EQ(p.gear.bow_height_m, 0.8);
    ASSERT_TRUE(p.gear.anchor);
    EXPECT_EQ(p.gear.anchor->pattern, drift::Pattern::flat_fluke);
    EXPECT_EQ(p.gear.anchor->weight_kg, 7.5);
    EXPECT_EQ(p.gear.anchor->line.aboard_m(), 65.0);
    EXPECT_EQ(p.gear.anchor->chain_mm, 8.0);
    EXPECT_FALSE(read("").gear.anchor || read("").gear.length_m || read("").gear.bow_height_m);
    EXPECT_EQ(read("").gear.length_or_default_m(), 7.0);
    EXPECT_EQ(read(anchor("grapnel", "rope_m = 60\nchain_m = 0\n")).gear.anchor->chain_mm, std::nullopt);
}

TEST(PlanAnchor, refused) {
    const std::string line = "rope_m = 60\nchain_m = 5\nchain_mm = 8\n";
    expect_refused(anchor("anvil", line), "boat.anchor.pattern", "\"flat fluke\", \"plough\"");
    expect_refused(anchor("claw", "rope_m = 60\nchain_m = 5\n"), "boat.anchor.chain_mm", "missing");
    expect_refused(anchor("claw", "rope_m = 60\nchain_m = 0\nchain_mm = 8\n"), "boat.anchor.chain_mm",
                   "no chain");
    expect_refused(anchor("claw", "rope_m = 60\n"), "boat.anchor.chain_m", "missing");
    expect_refused(anchor("claw", "rope_m = 0\nchain_m = 0\n"), "boat.anchor.rope_m", "without rope");
    expect_refused(anchor("claw", "rope_m = -1\nchain_m = 0\n"), "boat.anchor.rope_m", "");
    expect_refused(anchor("claw", "rope_m = 501\nchain_m = 0\n"), "boat.anchor.rope_m", "");
    expect_refused(anchor("claw", "rope_m = nan\nchain_m = 0\n"), "boat.anchor.rope_m", "");
    expect_refused(anchor("claw", line + "rope = 5\n"), "boat.anchor.rope", "did you mean rope_m");
    expect_refused(anchor("claw", line).substr(bow.size()), "boat.bow_height_m", "missing");
    expect_refused("bow_height_m = 0\n", "boat.bow_height_m", "");
    expect_refused("length_m = 300\n", "boat.length_m", "");
    expect_refused("anchor = 7\n", "boat.anchor", "");
}
