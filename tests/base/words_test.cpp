#include "dangerline/base/words.hpp"

#include <gtest/gtest.h>

using namespace dangerline;

TEST(Words, HeightsHaveNoMinusZero) {
    EXPECT_EQ(tenths(-0.04), "0.0");
    EXPECT_EQ(tenths(-0.0), "0.0");
    EXPECT_EQ(tenths(0.26), "0.3");
    EXPECT_EQ(tenths(-1.24), "-1.2");
}

TEST(Words, ALackIsNeverRoundedAway) {
    EXPECT_EQ(spare_tenths(-0.01), "-0.1");
    EXPECT_EQ(spare_tenths(-0.14), "-0.1");
    EXPECT_EQ(spare_tenths(-0.16), "-0.2");
    EXPECT_EQ(spare_tenths(-1e-9), "+0.0");
    EXPECT_EQ(spare_tenths(-0.0), "+0.0");
    EXPECT_EQ(spare_tenths(0.04), "+0.0");
    EXPECT_EQ(spare_tenths(0.55), "+0.6");
}

TEST(Words, SentencesBeginWithACapital) {
    EXPECT_EQ(capitalised("rock awash"), "Rock awash");
    EXPECT_EQ(capitalised("Rock"), "Rock");
    EXPECT_EQ(capitalised("2 rocks"), "2 rocks");
    EXPECT_EQ(capitalised(""), "");
}
