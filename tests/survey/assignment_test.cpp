#include "dangerline/survey/assignment.hpp"

#include <algorithm>
#include <functional>
#include <numeric>
#include <random>

#include <gtest/gtest.h>

namespace dangerline::survey {
namespace {

using Savings = std::vector<std::vector<std::int64_t>>; ///< 0: no choice

std::vector<PairChoice> choices_of(const Savings& savings) {
    std::vector<PairChoice> choices;
    for (std::size_t i = 0; i < savings.size(); ++i)
        for (std::size_t k = 0; k < savings[i].size(); ++k)
            if (savings[i][k] > 0)
                choices.push_back({i, k, savings[i][k]});
    return choices;
}

/// The most that any one-to-one choice saves, by trying all of them.
std::int64_t best_by_trying(const Savings& savings, std::size_t row = 0, unsigned used = 0) {
    if (row == savings.size())
        return 0;
    std::int64_t best = best_by_trying(savings, row + 1, used);
    for (std::size_t k = 0; k < savings[row].size(); ++k)
        if (savings[row][k] > 0 && !(used & 1U << k))
            best = std::max(best, savings[row][k] + best_by_trying(savings, row + 1, used | 1U << k));
    return best;
}

/// What the pairs save; fails for a column that is taken twice or a pair that was no choice.
std::int64_t saved_by(const Savings& savings, const std::vector<std::optional<std::size_t>>& pairs) {
    std::int64_t sum = 0;
    std::vector<bool> taken(savings.empty() ? 0 : savings.front().size(), false);
    for (std::size_t i = 0; i < pairs.size(); ++i)
        if (pairs[i]) {
            EXPECT_FALSE(taken[*pairs[i]]);
            taken[*pairs[i]] = true;
            EXPECT_GT(savings[i][*pairs[i]], 0);
            sum += savings[i][*pairs[i]];
        }
    return sum;
}

TEST(Assignment, IsAsGoodAsTryingAllOfThem) {
    std::mt19937 random(20260601);
    const auto number = [&](int low, int high) {
        return std::uniform_int_distribution<int>(low, high)(random);
    };
    for (int world = 0; world < 500; ++world) {
        const auto rows = static_cast<std::size_t>(number(1, 7)),
                   columns = static_cast<std::size_t>(number(1, 7));
        const int greatest = world % 2 == 0 ? 5 : 100'000; // many equal sums, or hardly any
        const int share = number(20, 100);
        Savings savings(rows, std::vector<std::int64_t>(columns, 0));
        for (auto& row : savings)
            for (auto& saving : row)
                saving = number(1, 100) <= share ? number(1, greatest) : 0;
        const auto pairs = best_pairs(rows, columns, choices_of(savings));
        ASSERT_EQ(pairs.size(), rows);
        ASSERT_EQ(saved_by(savings, pairs), best_by_trying(savings)) << "world " << world;
    }
}

TEST(Assignment, GivesUpTheNearestForTheSumOfAll) {
    // The first alone would take column 0; then the second had nothing.
    const std::vector<PairChoice> choices{{0, 0, 10}, {0, 1, 9}, {1, 0, 8}};
    const auto pairs = best_pairs(2, 2, choices);
    EXPECT_EQ(pairs[0], 1U);
    EXPECT_EQ(pairs[1], 0U);
}

TEST(Assignment, LeavesAloneWhatSavesNothing) {
    const auto pairs = best_pairs(2, 1, std::vector<PairChoice>{{0, 0, 0}, {1, 0, -3}});
    EXPECT_FALSE(pairs[0] || pairs[1]);
    EXPECT_TRUE(best_pairs(0, 0, {}).empty());
    EXPECT_THROW(best_pairs(1, 1, std::vector<PairChoice>{{0, 1, 2}}), std::invalid_argument);
    EXPECT_THROW(best_pairs(1, 1, std::vector<PairChoice>{{1, 0, 2}}), std::invalid_argument);
}

TEST(Assignment, TakesTheGreaterOfTwoChoicesForOnePair) {
    const std::vector<PairChoice> choices{{0, 0, 3}, {0, 0, 7}, {0, 1, 5}};
    EXPECT_EQ(best_pairs(1, 2, choices)[0], 0U);
}

TEST(Assignment, TakesALongChainWhole) {
    // Row i may have column i or i + 1; the last column is worth most, so all of them move by one.
    constexpr std::size_t count = 2000;
    std::vector<PairChoice> choices;
    for (std::size_t i = 0; i < count; ++i) {
        choices.push_back({i, i, 10});
        choices.push_back({i, i + 1, i + 1 == count ? 5000 : 9});
    }
    const auto pairs = best_pairs(count, count + 1, choices);
    for (std::size_t i = 0; i + 1 < count; ++i)
        ASSERT_EQ(pairs[i], i);
    EXPECT_EQ(pairs[count - 1], count);
}

} // namespace
} // namespace dangerline::survey
