#include <gtest/gtest.h>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"

using namespace dangerline;

TEST(Quantities, only_depth_and_tide_give_water) {
    // A rock that dries 1.2 m under a tide of 2.0 m carries 0.8 m of water.
    EXPECT_DOUBLE_EQ((Depth::from_metres(-1.2) + TideHeight::from_metres(2.0)).metres(), 0.8);
    EXPECT_DOUBLE_EQ(critical_tide(Water::from_metres(1.4), Depth::from_metres(-1.2)).metres(), 2.6);
    EXPECT_EQ(critical_tide(Water::from_metres(1.4), Depth::never_covered()), TideHeight::infinite());
    EXPECT_DOUBLE_EQ(Depth::from_feet(3.0).metres(), 0.9144);
}

TEST(Failure, says_file_object_what_expected_and_what_to_try) {
    const Failure f(Fault::plan, {.file = "plan.toml",
                                  .object = "line 4, boat.draught",
                                  .what = "a negative draught",
                                  .expected = "metres above 0",
                                  .remedy = "measure with the leg down"});
    EXPECT_STREQ(f.what(), "plan.toml: line 4, boat.draught: a negative draught (expected metres above 0). "
                           "Try: measure with the leg down");
}

TEST(Diagnostics, worst_first_and_otherwise_stable) {
    Diagnostics d{
        {Severity::note, "a", "", "1"}, {Severity::broken, "a", "", "2"}, {Severity::note, "a", "", "3"}};
    sort_worst_first(d);
    EXPECT_EQ(d[0].what, "2");
    EXPECT_EQ(d[1].what, "1");
    EXPECT_EQ(d[2].what, "3");
}
