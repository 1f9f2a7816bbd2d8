#include <gtest/gtest.h>

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
