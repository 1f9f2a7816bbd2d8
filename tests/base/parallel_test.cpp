#include <atomic>
#include <functional>
#include <gtest/gtest.h>
#include <thread>

#include <numeric>
#include <stdexcept>
#include <vector>

#include "dangerline/base/parallel.hpp"

using namespace dangerline;

TEST(Parallel, each_index_once_on_any_number_of_threads) {
    for (const unsigned threads : {0U, 1U, 2U, 8U})
        for (const std::size_t count : {0U, 1U, 16U, 17U, 1000U}) {
            std::vector<int> times(count, 0);
            parallel_for(
                count, [&](std::size_t i) { ++times[i]; }, threads);
            EXPECT_EQ(std::accumulate(times.begin(), times.end(), 0), static_cast<int>(count));
            for (const int t : times)
                EXPECT_EQ(t, 1);
        }
}

TEST(Parallel, a_failure_reaches_the_caller) {
    std::vector<int> done(100, 0);
    EXPECT_THROW(parallel_for(100,
                              [&](std::size_t i) {
                                  if (i == 3)
                                      throw std::runtime_error("three");
                                  done[i] = 1;
                              }),
                 std::runtime_error);
    EXPECT_EQ(done[2], 1);
}

TEST(ParallelInOrder, takes_results_in_order_and_few_at_a_time) {
    std::vector<std::size_t> taken;
    std::atomic<int> waiting = 0, most = 0;
    dangerline::parallel_in_order(500, [&](std::size_t i) {
        const int now = ++waiting;
        int seen = most;
        while (now > seen && !most.compare_exchange_weak(seen, now)) {
        }
        return [&, i] {
            taken.push_back(i);
            --waiting;
        };
    });
    ASSERT_EQ(taken.size(), 500U);
    for (std::size_t i = 0; i < taken.size(); ++i)
        EXPECT_EQ(taken[i], i);
    EXPECT_LE(most, static_cast<int>(std::max(1U, std::thread::hardware_concurrency())));
}

TEST(ParallelInOrder, a_failure_ends_it_in_its_turn) {
    std::vector<std::size_t> taken;
    const auto run = [&](bool making) {
        taken.clear();
        dangerline::parallel_in_order(100, [&, making](std::size_t i) -> std::function<void()> {
            if (making && i == 40)
                throw std::runtime_error("forty");
            return [&, making, i] {
                if (!making && i == 40)
                    throw std::runtime_error("forty");
                taken.push_back(i);
            };
        });
    };
    for (const bool making : {true, false}) {
        EXPECT_THROW(run(making), std::runtime_error);
        EXPECT_EQ(taken.size(), 40U);
    }
}
