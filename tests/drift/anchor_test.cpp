// Anchor arithmetic against published and worked examples.

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "dangerline/drift/anchor.hpp"
#include "dangerline/drift/anchor_ground.hpp"
#include "dangerline/drift/anchor_loads.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::drift;

namespace {

const AnchorSea calm{2.0, 0.2, 0.2, false};
const AnchorSea rough{10.0, 0.2, 0.2, false};
constexpr double knot = mps_per_knot;

double number(const std::map<std::string, std::string>& row, const char* column) {
    return row.at(column).empty() ? 0.0 : std::stod(row.at(column));
}

double result_of(const std::string& operation, double a, double b, double c, double d) {
    const auto depth = [](double bottom, double tide, double bow) {
        return *depth_to_reckon_with(Depth::from_metres(bottom), TideHeight::from_metres(tide), 0.0, bow);
    };
    if (operation == "scope_length")
        return depth(a, b, c) * d;
    if (operation == "scope_of")
        return a / depth(b, c, d);
    if (operation == "flat_chain")
        return flat_chain_m(a, b, c);
    if (operation == "load")
        return *anchor_load_n(a * 0.3048, b * knot) / newtons_per_pound_force;
    if (operation == "chain_water")
        return *chain_newtons_per_m(a);
    if (operation == "angle")
        return *angle_factor(a);
    if (operation == "navy_flat_mud")
        return *navy_rule_n(Pattern::flat_fluke, Ground::soft_mud, a) / newtons_per_pound_force;
    if (operation == "navy_flat_sand")
        return *navy_rule_n(Pattern::flat_fluke, Ground::sand, a) / newtons_per_pound_force;
    if (operation == "deadline")
        return decide_within_s({a, b, c, d, 0.0, reaction_s, set_distance_m});
    ADD_FAILURE() << operation;
    return 0.0;
}

} // namespace

TEST(Anchor, published_and_worked_examples) {
    const auto rows = support::read_table(support::testdata() / "drift/anchor_examples.csv");
    EXPECT_GE(rows.size(), 20u);
    for (const auto& row : rows)
        EXPECT_NEAR(result_of(row.at("operation"), number(row, "a"), number(row, "b"), number(row, "c"),
                              number(row, "d")),
                    number(row, "expected"), number(row, "tolerance"))
            << row.at("operation") << ": " << row.at("source");
}

TEST(Anchor, loads_are_those_of_the_table_and_never_less_between_its_lines) {
    double before_kn = 0.0;
    for (const auto& row : support::read_table(support::testdata() / "drift/abyc_h40_loads.csv")) {
        double before_ft = 0.0;
        const double wind_kn = number(row, "wind_kn");
        for (const char* feet : {"20", "25", "30", "35", "40", "50", "60", "70"}) {
            const double ft = std::stod(feet), printed_n = number(row, feet) * newtons_per_pound_force;
            EXPECT_NEAR(*anchor_load_n(ft * 0.3048, wind_kn * knot), printed_n, 1e-6);
            EXPECT_NEAR(*anchor_load_n((before_ft + 0.1) * 0.3048, (before_kn + 0.1) * knot), printed_n,
                        1e-6);
            before_ft = ft;
        }
        before_kn = wind_kn;
    }
    EXPECT_FALSE(anchor_load_n(6.0, 60.1 * knot));
    EXPECT_FALSE(anchor_load_n(70.1 * 0.3048, 10.0));
}

TEST(Anchor, chain_weighs_what_the_table_says) {
    for (const auto& row : support::read_table(support::testdata() / "drift/chain.csv")) {
        const double kg = *chain_kg_per_m(number(row, "mm"));
        EXPECT_DOUBLE_EQ(kg, number(row, "kg_per_m"));
        if (!row.at("other_kg_per_m").empty()) { // dealers differ, most of all at 12 mm
            EXPECT_NEAR(kg, number(row, "other_kg_per_m"), 0.15 * number(row, "other_kg_per_m"));
        }
    }
    EXPECT_FALSE(chain_kg_per_m(9.0));
}

TEST(Anchor, catenary_there_and_back) {
    for (const double h : {0.5, 5.0, 10.0, 40.0})
        for (const double load : {10.0, 1000.0, 20'000.0})
            for (const double w : {6.8, 14.1, 36.0})
                EXPECT_NEAR(lifting_load_n(h, flat_chain_m(h, load, w), w), load, 1e-7 * load);
    // The same load asks a smaller multiple of more depth.
    EXPECT_LT(flat_chain_m(10, 2000, 14.1) / 10, flat_chain_m(5, 2000, 14.1) / 5);
}

TEST(Anchor, the_pull_rises_as_soon_as_the_last_link_does) {
    const double h = 10.0, w = 14.1, load = 2000.0, flat = flat_chain_m(h, load, w);
    EXPECT_EQ(pull_angle_deg({0.0, flat + 0.01, w}, h, load), 0.0);
    EXPECT_GT(*pull_angle_deg({0.0, flat - 0.01, w}, h, load), 0.0);
    EXPECT_LT(*pull_angle_deg({0.0, flat - 0.01, w}, h, load), 0.1);
    // A rope alone is straight.
    EXPECT_NEAR(*pull_angle_deg({40.0, 0.0, 0.0}, 10.0, 500.0), std::asin(0.25) * 180.0 / M_PI, 1e-5);
    EXPECT_NEAR(*pull_angle_deg({36.0, 4.0, 0.0}, 10.0, 500.0), std::asin(0.25) * 180.0 / M_PI, 1e-5);
    // More rope, more weight and less load all lower it; a line too short has no angle.
    const double five = *pull_angle_deg({45.0, 5.0, w}, h, load);
    EXPECT_GT(*pull_angle_deg({35.0, 5.0, w}, h, load), five);
    EXPECT_GT(*pull_angle_deg({45.0, 5.0, 5.0}, h, load), five);
    EXPECT_GT(*pull_angle_deg({45.0, 5.0, w}, h, 2.0 * load), five);
    EXPECT_FALSE(pull_angle_deg({5.0, 5.0, w}, h, load));
    EXPECT_FALSE(angle_factor(15.01));
    EXPECT_EQ(angle_factor(0.0), 1.0);
}

TEST(Anchor, depth_to_reckon_with) {
    const auto deep = Depth::from_metres(8.0);
    const auto tide = TideHeight::from_metres(4.0);
    EXPECT_NEAR(*depth_to_reckon_with(deep, tide, 1.0, 0.8), 13.3, 1e-12);
    EXPECT_FALSE(depth_to_reckon_with(std::nullopt, tide, 1.0, 0.8));
    EXPECT_FALSE(depth_to_reckon_with(deep, std::nullopt, 1.0, 0.8));
    EXPECT_FALSE(depth_to_reckon_with(Depth::never_covered(), tide, 1.0, 0.8));
    EXPECT_EQ(depth_to_reckon_with(Depth::from_metres(-6.0), tide, 0.0, 0.8), 0.8); // dry
}

TEST(Anchor, words_by_multiples_of_the_depth) {
    const auto word = [](double length, const AnchorSea& sea) {
        return rope_word(10.0, {length - 5.0, 5.0}, sea);
    };
    EXPECT_EQ(word(10.0, calm), RopeWord::too_short);
    EXPECT_EQ(word(10.1, calm), RopeWord::reaches);
    EXPECT_EQ(word(29.9, calm), RopeWord::reaches);
    EXPECT_EQ(word(30.0, calm), RopeWord::least);
    EXPECT_EQ(word(59.9, calm), RopeWord::least);
    EXPECT_EQ(word(60.0, calm), RopeWord::in_proportion);
    EXPECT_EQ(word(60.0, rough), RopeWord::least);
    EXPECT_EQ(word(39.9, rough), RopeWord::reaches);
    EXPECT_EQ(word(80.0, rough), RopeWord::in_proportion);
    EXPECT_EQ(word(80.0, {2.0, 0.2, 0.2, true}), RopeWord::least);
    EXPECT_EQ(word(100.0, {2.0, 0.2, 0.2, true}), RopeWord::in_proportion);
    EXPECT_EQ(rope_word(10.0, {0.0, 40.0}, calm), RopeWord::in_proportion); // all chain 4, 5, 7
    EXPECT_EQ(rope_word(10.0, {0.0, 49.9}, rough), RopeWord::least);
    EXPECT_EQ(rope_word(10.0, {0.0, 70.0}, {2.0, 0.2, 0.2, true}), RopeWord::in_proportion);
    EXPECT_EQ(rope_word(std::nullopt, {500.0, 50.0}, calm), RopeWord::unknown);
    EXPECT_NE(std::string(to_text(RopeWord::least)).find("least, many authorities ask 5 or more"),
              std::string::npos);
}

TEST(Anchor, what_asks_for_more_rope) {
    EXPECT_EQ(proportion_factor({7.99, 1.99 * knot, 0.49, false}, false), 6.0);
    EXPECT_EQ(proportion_factor({8.0, 0.0, 0.0, false}, false), 8.0);
    EXPECT_EQ(proportion_factor({0.0, 2.0 * knot, 0.0, false}, false), 8.0);
    EXPECT_EQ(proportion_factor({0.0, 0.0, 0.5, false}, false), 8.0);
    EXPECT_EQ(least_factor(calm), 3.0);
    EXPECT_EQ(least_factor(rough), 4.0);
    EXPECT_EQ(least_factor({10.0, 2.0 * knot, 0.0, false}), 5.0);
    // Not stated is never calm.
    EXPECT_EQ(proportion_factor({std::nullopt, 0.0, 0.0, false}, false), 8.0);
    EXPECT_EQ(proportion_factor({0.0, std::nullopt, 0.0, false}, false), 8.0);
    EXPECT_EQ(proportion_factor({0.0, 0.0, std::nullopt, false}, true), 5.0);
    EXPECT_TRUE(waves_break(1.0, 2.4));
    EXPECT_FALSE(waves_break(1.0, 2.6));
    EXPECT_TRUE(waves_break(0.1, -1.0));
}

TEST(Anchor, swing_circle_is_widest_at_low_water) {
    EXPECT_NEAR(swing_radius_m(50.0, 30.0, 6.0, 10.0), 56.0, 1e-9);
    EXPECT_GT(swing_radius_m(50.0, 10.0, 6.0), swing_radius_m(50.0, 12.0, 6.0));
    EXPECT_EQ(swing_radius_m(50.0, std::nullopt, 6.0, 0.0), 56.0); // not known: the whole rope
    EXPECT_EQ(swing_radius_m(50.0, -3.0, 6.0, 0.0), 56.0);
    EXPECT_EQ(swing_radius_m(10.0, 20.0, 6.0, 0.0), 6.0);
}

TEST(Anchor, deadline_edges) {
    EXPECT_LT(decide_within_s({100.0, 1.0, 12.0, 60.0}), 0.0);        // too late already
    EXPECT_EQ(decide_within_s({1000.0, 1.0, 12.0, 12.0}), -INFINITY); // does not reach
    EXPECT_EQ(decide_within_s({1000.0, 0.0, 12.0, 60.0}), INFINITY);  // no drift
    EXPECT_GT(decide_within_s({1000.0, 1.0, 12.0, 60.0, 0.0}), decide_within_s({1000.0, 1.0, 12.0, 60.0}));
}

// On one drift over a made bottom, more of anything aboard never loses a place where the anchor stops the
// boat.
TEST(Anchor, more_rope_never_shortens_the_stretch_in_proportion) {
    std::mt19937 random(5);
    const auto pick = [&](double low, double high) {
        return std::uniform_real_distribution<>(low, high)(random);
    };
    int gained = 0, held = 0;
    for (int run = 0; run < 400; ++run) {
        const AnchorSea sea{pick(0, 12), pick(0, 1.5), pick(0, 1), run % 7 == 0};
        const AnchorLine less{run % 3 ? pick(0, 120) : 0.0, pick(0, 60)};
        const AnchorLine more{less.rope_m + pick(0, 80) * (run % 2),
                              less.chain_m + pick(0, 30) * (run % 5 != 0)};
        const double drift = pick(0.1, 1.5), deepest = pick(5, 30), to_go = pick(300, 2000);
        for (double s = 0.0; s < to_go; s += 10.0) {
            const double depth = 2.0 + (deepest - 2.0) * (1.0 - s / to_go) + 2.0 * std::sin(s / 50.0);
            const bool before = brake_at(depth, to_go - s, drift, less, sea).stops();
            const bool after = brake_at(depth, to_go - s, drift, more, sea).stops();
            EXPECT_LE(before, after) << run << " at " << s;
            gained += after && !before;
            held += before;
        }
    }
    EXPECT_GT(gained, 1000); // the runs do tell
    EXPECT_GT(held, 1000);
    EXPECT_FALSE(brake_at(std::nullopt, 1e6, 0.1, {500.0, 50.0}, calm).stops());
}

TEST(Anchor, little_chain_is_said) {
    EXPECT_EQ(chain_words({50.0, 5.0}), "");
    EXPECT_EQ(chain_words({50.0, 2.0}), "2.0 m of chain; common practice asks 4 to 5 m at least");
}

TEST(AnchorGround, every_pattern_has_a_row_for_every_ground_with_its_source) {
    for (const auto& row : pattern_rows()) {
        EXPECT_EQ(pattern_named(row.name), row.pattern);
        EXPECT_EQ(to_text(row.pattern), row.name);
        for (int g = 1; g <= static_cast<int>(Ground::rock); ++g) {
            const auto holding = holding_of(row.pattern, static_cast<Ground>(g));
            ASSERT_TRUE(holding) << row.name << g;
            EXPECT_FALSE(holding->source.empty());
        }
        EXPECT_FALSE(holding_of(row.pattern, Ground::unknown));
        EXPECT_NE(holding_of(row.pattern, Ground::rock)->holding, Holding::suits);
    }
    EXPECT_EQ(holding_rows().size(), pattern_rows().size() * 6);
    EXPECT_FALSE(pattern_named("kedge of gold"));
}

// The README shows the table; grounds of which the same is said share a row.
TEST(AnchorGround, readme_has_the_table) {
    const std::string readme = support::read_file(std::filesystem::path(DANGERLINE_SOURCE) / "README.md");
    const auto rows = holding_rows();
    for (std::size_t i = 0, next = 0; i < rows.size(); i = next) {
        std::string grounds;
        for (; next < rows.size() && rows[next].pattern == rows[i].pattern &&
               rows[next].holding == rows[i].holding && rows[next].why == rows[i].why &&
               rows[next].source == rows[i].source;
             ++next)
            grounds += std::string(grounds.empty() ? "" : ", ") + to_text(rows[next].ground);
        const std::string line = "| " + std::string(to_text(rows[i].pattern)) + " | " + grounds + " | " +
                                 to_text(rows[i].holding) + " | " + std::string(rows[i].why) + " | " +
                                 std::string(rows[i].source) + " |\n";
        EXPECT_NE(readme.find(line), std::string::npos) << line;
    }
}

TEST(AnchorGround, natures_and_qualities) {
    EXPECT_EQ(grounds_of({1}, {}), std::vector{Ground::soft_mud});
    EXPECT_EQ(grounds_of({1}, {5}), std::vector{Ground::firm_mud});
    EXPECT_EQ(grounds_of({1}, {5, 6}), std::vector{Ground::soft_mud});
    EXPECT_EQ(grounds_of({2}, {}), std::vector{Ground::firm_mud});
    EXPECT_EQ(grounds_of({4}, {10}), std::vector{Ground::hard_sand});
    EXPECT_EQ(grounds_of({9, 6}, {}), (std::vector{Ground::rock, Ground::stones}));
    EXPECT_EQ(grounds_of({}, {1}), std::vector{Ground::unknown});
    EXPECT_EQ(grounds_of({99}, {}), std::vector{Ground::unknown});
    EXPECT_EQ(bottom_words({4, 17}, {1}), "fine sand, shells");
    EXPECT_EQ(bottom_words({}, {}), "bottom of unstated nature");
}

TEST(AnchorGround, holding_falls_in_mud) {
    const double sand = *navy_rule_n(Pattern::flat_fluke, Ground::sand, 10.0);
    EXPECT_LT(*navy_rule_n(Pattern::flat_fluke, Ground::soft_mud, 10.0), sand);
    EXPECT_LT(*navy_rule_n(Pattern::claw, Ground::soft_mud, 10.0),
              *navy_rule_n(Pattern::flat_fluke, Ground::soft_mud, 10.0));
    EXPECT_FALSE(navy_rule_n(Pattern::grapnel, Ground::sand, 10.0));
    EXPECT_FALSE(navy_rule_n(Pattern::flat_fluke, Ground::rock, 10.0));
}
