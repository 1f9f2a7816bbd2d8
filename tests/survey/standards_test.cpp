#include <gtest/gtest.h>

#include "dangerline/survey/allowance.hpp"
#include "dangerline/survey/standards.hpp"
#include "dangerline/survey/zones.hpp"
#include "support/support.hpp"

using namespace dangerline::survey;

// IHO S-68 Ed 1.0.0 Annex A Table A-1.
TEST(Standards, zones_of_confidence_are_the_published_table) {
    int compared = 0;
    for (const auto& row : support::read_table(support::testdata() / "survey" / "catzoc.csv")) {
        if (row.at("depth_b").empty())
            continue; // D and U carry no figures
        const auto& zone = zone_of_confidence(std::stoi(row.at("catzoc_code")));
        EXPECT_EQ(zone.name, row.at("zoc"));
        EXPECT_DOUBLE_EQ(zone.position_m, std::stod(row.at("pos_fixed_m")));
        EXPECT_DOUBLE_EQ(zone.position_of_depth * 100.0, std::stod(row.at("pos_pct_depth")));
        EXPECT_DOUBLE_EQ(zone.depth.a_m, std::stod(row.at("depth_a_m")));
        EXPECT_DOUBLE_EQ(zone.depth.b, std::stod(row.at("depth_b")));
        EXPECT_NEAR(zone.depth.at(30.0), std::stod(row.at("tab_30m")), 1e-9);
        EXPECT_NEAR(zone.depth.at(1000.0), std::stod(row.at("tab_1000m")), 1e-9);
        ++compared;
    }
    EXPECT_EQ(compared, 4);
    for (const int code : {5, 6, 0, 9}) {
        EXPECT_TRUE(zone_of_confidence(code).at_least);
        EXPECT_DOUBLE_EQ(zone_of_confidence(code).position_m, 500.0);
    }
}

// IHO S-44 Ed 6.1.0 Table 1; values at 40 m derived from its formula.
TEST(Standards, s44_uncertainties) {
    for (const auto& row : support::read_table(support::testdata() / "survey" / "s44.csv"))
        EXPECT_NEAR(*s44_vertical(row.at("order"), 0.0), std::stod(row.at("tvu_a_m")), 1e-12);
    EXPECT_NEAR(*s44_vertical("Special", 40.0), 0.3905, 1e-4);
    EXPECT_NEAR(*s44_vertical("1a", 40.0), 0.7214, 1e-4);
    EXPECT_NEAR(*s44_vertical("2", 40.0), 1.3588, 1e-4);
    EXPECT_NEAR(*s44_horizontal("2", 40.0), 24.0, 1e-12);
    EXPECT_FALSE(s44_vertical("3", 1.0));
}

TEST(Allowance, takes_the_largest_radius_and_never_a_smaller_wide_one) {
    EXPECT_DOUBLE_EQ(quapos_radius(10, 80000), 0.0);
    EXPECT_DOUBLE_EQ(quapos_radius(4, 80000), 120.0);
    EXPECT_DOUBLE_EQ(quapos_radius(4, 10000), 50.0);
    EXPECT_DOUBLE_EQ(quapos_radius(5, 10000), 500.0);
    const auto b = allowance_for(
        {.scale = 10000, .quapos = {}, .posacc_m = {}, .souacc_m = {}, .catzoc = 3, .depth_m = 0});
    EXPECT_DOUBLE_EQ(b.position_m, 50.0);
    EXPECT_DOUBLE_EQ(b.survey_m, 50.0);
    EXPECT_DOUBLE_EQ(b.depth_doubt(-1.2), 1.0); // drying: the share of depth is nothing
    const auto c = allowance_for(
        {.scale = 10000, .quapos = 5, .posacc_m = {}, .souacc_m = 3.0, .catzoc = 4, .depth_m = 0});
    EXPECT_DOUBLE_EQ(c.position_m, 500.0);
    EXPECT_DOUBLE_EQ(c.survey_m, 500.0);
    EXPECT_DOUBLE_EQ(c.depth_doubt(10.0), 3.0);
    EXPECT_EQ(worse_zone(3, 0), 0);
    EXPECT_EQ(worse_zone(1, 4), 4);
}

// No dates, over features of SORDAT 200303: undated, not 23 years old.
TEST(Zones, without_dates_are_undated) {
    EXPECT_EQ(describe({"", "C", 3, {}, nullptr}), "lines-only survey (CATZOC B), undated");
    EXPECT_EQ(describe({"", "C", 3, {1940, 1949}, nullptr}), "lines-only survey (CATZOC B) of 1940–49");
    EXPECT_EQ(describe({"", "C", 4, {1899, 1936}, nullptr}), "sparse survey (CATZOC C) of 1899–1936");
    EXPECT_EQ(describe({"", "C", 0, {{}, 1936}, nullptr}),
              "survey of unstated quality (no CATZOC) ended 1936, begun at an unknown date");
}

TEST(Zones, years_of_every_length_and_none_of_junk) {
    EXPECT_EQ(year_of("1934"), 1934);
    EXPECT_EQ(year_of("200303"), 2003);
    EXPECT_EQ(year_of("19340101"), 1934);
    for (const auto* junk : {"", "--0315", "00000415", "12312017", "JULY0918", "00122016"})
        EXPECT_FALSE(year_of(junk)) << junk;
}
