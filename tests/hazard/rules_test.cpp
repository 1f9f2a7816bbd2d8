#include <gtest/gtest.h>

#include "dangerline/base/quantities.hpp"
#include "dangerline/hazard/rough_water.hpp"
#include "dangerline/hazard/rules.hpp"

using namespace dangerline;
using namespace dangerline::hazard;

TEST(Rules, every_row_is_known_and_made_up_classes_are_not) {
    for (const auto& rule : rules())
        EXPECT_TRUE(is_known(rule.cls.ends_with('*') ? std::string(rule.cls.substr(0, 3)) + "LAT"
                                                     : std::string(rule.cls)));
    for (const auto* cls : {"M_QUAL", "TS_PAD", "LIGHTS", "BOYCAR", "BCNISD"})
        EXPECT_TRUE(is_known(cls)) << cls;
    EXPECT_FALSE(is_known("NEWOBJ"));
    EXPECT_FALSE(is_known("ZZZZZZ"));
}

TEST(Rules, assumed_depths_never_exceed_the_datum) {
    for (int watlev = 0; watlev <= 8; ++watlev)
        EXPECT_LE(assumed_depth(watlev).decides.metres(), 0.0);
    EXPECT_EQ(assumed_depth(3).decides.metres(), 0.0);
    EXPECT_EQ(assumed_depth(4).decides, Depth::never_covered());
    EXPECT_EQ(assumed_depth(0).decides, Depth::never_covered());
    EXPECT_EQ(assumed_depth(5).shown.metres(), -0.6);
    EXPECT_TRUE(assumed_depth(7).surface);
}

TEST(Rules, restrictions_that_are_cautions) {
    for (int code = 1; code <= 27; ++code)
        EXPECT_EQ(restriction_is_caution(code), code == 7 || code == 8 || code == 14) << code;
    for (int code = 1; code <= 28; ++code)
        EXPECT_EQ(area_category_is_caution(code), code == 1 || code == 9 || code == 12 || code == 14) << code;
}

// Overfalls in no wind with swell unstated, then stated as 0.
TEST(RoughWater, by_rate_wind_and_swell) {
    const auto at = [](std::optional<double> kn, std::optional<double> swell) {
        return rough_water_grade(3, {kn ? std::optional(*kn * mps_per_knot) : std::nullopt, 0.0, swell});
    };
    EXPECT_EQ(at(3.2, {}), Grade::danger);
    EXPECT_EQ(at(2.5, {}), Grade::danger);
    EXPECT_EQ(at(1.5, {}), Grade::caution);
    EXPECT_EQ(at(0.5, {}), Grade::note);
    EXPECT_EQ(at({}, {}), Grade::danger);
    EXPECT_EQ(at(2.5, 0.0), Grade::caution);
    EXPECT_EQ(rough_water_grade(1, {0.0, 0.0, 0.0}), Grade::danger); // breakers
    EXPECT_EQ(rough_water_grade(0, {}), Grade::danger);              // category missing
    for (const int unknown : {0, 9})                                 // may be breakers
        EXPECT_EQ(rough_water_grade(unknown, {0.0, 0.0, 0.0}), Grade::caution);
}
