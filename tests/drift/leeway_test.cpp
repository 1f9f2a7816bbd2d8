#include "dangerline/drift/leeway.hpp"

#include <gtest/gtest.h>

#include <set>

#include "dangerline/base/quantities.hpp"

using namespace dangerline;
using namespace dangerline::drift;

namespace {

double knots(std::string_view name, double wind_mps) {
    return leeway_row(name).value().leeway.speed(wind_mps) / mps_per_knot;
}

// Allen and Fitzgerald 1997, abstract (DTIC ADA338829): 3.65 % upright, 1.73 % swamped.
TEST(Leeway, OpenBoatAsMeasured) {
    EXPECT_NEAR(knots("open boat", 10.0), 0.7095, 5e-5);
    EXPECT_NEAR(leeway_row("swamped open boat")->leeway.speed(10.0), 0.173, 1e-12);
}

// Brushett and others 2014, abstract: 7.71 % with one aboard, 4.40 % with thirteen.
TEST(Leeway, LoadMakesItSlower) {
    EXPECT_NEAR(knots("light open boat", 10.0), 1.499, 5e-4);
    EXPECT_NEAR(knots("laden open boat", 10.0), 0.855, 5e-4);
}

TEST(Leeway, NeverAgainstTheWindAndNoneWithoutIt) {
    for (const auto& row : leeway_rows()) {
        EXPECT_EQ(row.leeway.speed(0.0), 0.0) << row.name;
        for (double wind = 0.1; wind < 30.0; wind += 0.1)
            EXPECT_LE(row.leeway.speed(wind), row.leeway.speed(wind + 0.1)) << row.name;
        EXPECT_GE(row.leeway.speed(0.1), 0.0) << row.name;
    }
}

TEST(Leeway, EachRowHasItsNameAndSource) {
    std::set<std::string_view> names;
    for (const auto& row : leeway_rows()) {
        EXPECT_TRUE(names.insert(row.name).second) << row.name;
        EXPECT_FALSE(row.source.empty());
        EXPECT_GT(row.leeway.divergence_deg, 0.0);
    }
    EXPECT_FALSE(leeway_row("barge"));
    EXPECT_TRUE(names.contains(slow_default) && names.contains(fast_default) &&
                names.contains(swamped_default));
}

} // namespace
