#include "dangerline/survey/offset.hpp"

#include <cmath>
#include <limits>
#include <stdexcept>

#include <gtest/gtest.h>

namespace dangerline::survey {
namespace {

TEST(Offset, IsTheMedianAndItsSpread) {
    const std::vector<double> d{0.1, 0.3, 0.2, 0.6, 0.2};
    const auto offset = common_offset(d);
    ASSERT_TRUE(offset);
    EXPECT_DOUBLE_EQ(offset->metres, 0.2);
    EXPECT_NEAR(offset->spread_m, 1.4826 * 0.1, 1e-12);
    EXPECT_DOUBLE_EQ(median({4.0, 1.0, 3.0, 2.0}), 2.5);
}

TEST(Offset, IsNotToldFromAFew) {
    EXPECT_FALSE(common_offset(std::vector<double>(least_soundings - 1, 0.5)));
    EXPECT_TRUE(common_offset(std::vector<double>(least_soundings, 0.5)));
    EXPECT_THROW(common_offset(std::vector<double>{1, 2, 3, 4, std::nan("")}), std::invalid_argument);
    EXPECT_THROW(common_offset(std::vector<double>{1, 2, 3, 4, std::numeric_limits<double>::infinity()}),
                 std::invalid_argument);
}

TEST(Offset, LeavesAWrongDatumApartFromABankThatGrew) {
    // Everything 1.2 m off, and on 8 of 30 places a bank has grown by 1.5 m.
    std::vector<double> d;
    for (int i = 0; i < 30; ++i)
        d.push_back(1.2 + (i % 3 - 1) * 0.05 - (i >= 22 ? 1.5 : 0.0));
    const auto offset = common_offset(d);
    ASSERT_TRUE(offset);
    EXPECT_NEAR(offset->metres, 1.2, 0.051);
    for (int i = 0; i < 30; ++i)
        EXPECT_EQ(is_local_change(d[static_cast<std::size_t>(i)], *offset), i >= 22) << i;
}

TEST(Offset, TakesNoNoiseForChange) {
    const CommonOffset quiet{0.0, 0.01}, noisy{0.0, 0.4};
    EXPECT_FALSE(is_local_change(local_change_m, quiet));
    EXPECT_TRUE(is_local_change(local_change_m + 0.001, quiet));
    EXPECT_FALSE(is_local_change(-1.2, noisy));
    EXPECT_TRUE(is_local_change(-1.201, noisy));
}

} // namespace
} // namespace dangerline::survey
