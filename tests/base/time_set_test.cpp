#include "dangerline/base/time_set.hpp"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <random>
#include <stdexcept>

using namespace dangerline;

namespace {

Instant at(double s) {
    return Instant::from_unix_seconds(s);
}
TimeSet set(const std::vector<std::pair<double, double>>& pairs) {
    std::vector<Interval> all;
    for (const auto& [a, b] : pairs)
        all.push_back({at(a), at(b)});
    return TimeSet::of_any(std::move(all));
}

/// Whole seconds 0 to 63 as bits: the plainest of all sets.
using Bits = std::array<bool, 64>;

Bits bits_of(const TimeSet& s) {
    Bits out{};
    for (std::size_t i = 0; i < out.size(); ++i)
        out[i] = s.contains(at(static_cast<double>(i)));
    return out;
}

double whole(std::mt19937& random, unsigned below) {
    return static_cast<double>(random() % below);
}

TimeSet random_set(std::mt19937& random) {
    std::vector<Interval> all;
    for (auto n = random() % 7; n > 0; --n) {
        const double from = whole(random, 64);
        all.push_back({at(from), at(from + whole(random, 12))}); // empty ones too
    }
    return TimeSet::of_any(std::move(all));
}

void expect_in_order(const TimeSet& s) {
    const auto& all = s.intervals();
    for (std::size_t i = 0; i < all.size(); ++i) {
        EXPECT_LT(all[i].from, all[i].to);
        if (i > 0) {
            EXPECT_LT(all[i - 1].to, all[i].from);
        }
    }
}

} // namespace

TEST(TimeSet, JoinsSortsAndDropsEmptyIntervals) {
    EXPECT_EQ(set({{5, 7}, {1, 2}, {7, 9}, {3, 3}, {6, 8}}), set({{1, 2}, {5, 9}}));
    EXPECT_TRUE(set({{3, 3}, {5, 4}}).empty());
    EXPECT_EQ(set({{1, 2}, {5, 9}}).length_s(), 5.0);
    EXPECT_THROW(set({{std::nan(""), 1.0}}), std::invalid_argument);
}

TEST(TimeSet, IsHalfOpen) {
    const auto s = set({{1, 2}, {4, 6}});
    EXPECT_TRUE(s.contains(at(1)));
    EXPECT_FALSE(s.contains(at(2)));
    EXPECT_FALSE(s.contains(at(3)));
    EXPECT_EQ(s.around(at(5)), (Interval{at(4), at(6)}));
    EXPECT_EQ(s.next(at(1)), (Interval{at(4), at(6)}));
    EXPECT_FALSE(s.next(at(4)));
}

TEST(TimeSet, AgreesWithPlainBits) {
    std::mt19937 random(4);
    for (int round = 0; round < 2000; ++round) {
        const TimeSet a = random_set(random), b = random_set(random);
        const Bits x = bits_of(a), y = bits_of(b);
        const Bits sum = bits_of(a.united(b)), both = bits_of(a.common(b)), rest = bits_of(a.without(b));
        const Bits none = bits_of(a.complement({at(0), at(64)}));
        const double early = whole(random, 4), late = whole(random, 4);
        const TimeSet inner = a.shrunk(early, late), outer = a.grown(early, late);
        bool covered = true;
        for (std::size_t i = 0; i < x.size(); ++i) {
            EXPECT_EQ(sum[i], x[i] || y[i]);
            EXPECT_EQ(both[i], x[i] && y[i]);
            EXPECT_EQ(rest[i], x[i] && !y[i]);
            EXPECT_EQ(none[i], !x[i]);
            covered = covered && (!y[i] || x[i]);
        }
        EXPECT_EQ(a.united(b).length_s(), a.length_s() + b.length_s() - a.common(b).length_s());
        if (b.intervals().empty() || b.intervals().back().to <= at(64)) {
            EXPECT_EQ(a.covers(b), covered);
        }
        for (const auto& s : {a, a.united(b), a.common(b), a.without(b), inner, outer})
            expect_in_order(s);
        // Shrinking is growing what does not belong to the set. Half seconds lie inside every interval.
        const TimeSet gone = a.complement({at(-100), at(200)}).grown(early, late);
        for (double t = 0.5; t < 64.0; t += 1.0)
            EXPECT_EQ(inner.contains(at(t)), !gone.contains(at(t))) << t;
        EXPECT_EQ(a.shifted(7.0).shifted(-7.0), a);
    }
}

TEST(TimeSet, ShrinksByWhatADepartureMayComeOutEarlyOrLate) {
    // Open from 10:00 to 12:00; 10 min early and 30 min late must still do: 10:10 to 11:30.
    const auto open = set({{36000, 43200}});
    EXPECT_EQ(open.shrunk(600, 1800), set({{36600, 41400}}));
    EXPECT_TRUE(set({{0, 2400}}).shrunk(600, 1800).empty());
}

TEST(TimeSet, GrowingJoinsWhatThenTouches) {
    EXPECT_EQ(set({{10, 20}, {25, 30}}).grown(5, 0), set({{10, 35}}));
    EXPECT_EQ(set({{10, 20}, {25, 30}}).grown(0, 4), set({{6, 20}, {21, 30}}));
}

TEST(TimeSet, RoundsInwardsOnly) {
    EXPECT_EQ(set({{1, 899}, {901, 1199}, {1200, 1500}}).rounded_inwards(300),
              set({{300, 600}, {1200, 1500}}));
    EXPECT_EQ(set({{0, 10}, {20, 21}}).at_least(5), set({{0, 10}}));
}
