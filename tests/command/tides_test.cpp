#include <gtest/gtest.h>

#include <sstream>

#include "dangerline/command.hpp"
#include "support/support.hpp"

// Every tide of a plan is printed, with what it rests on, in the plan's order.
TEST(Program, tide_prints_every_station) {
    std::ostringstream out, err;
    const std::string plan = (support::testdata() / "demo/plan.toml").string();
    ASSERT_EQ(dangerline::command::program(
                  {"tide", plan, "--from", "2026-06-16 00:00", "--to", "2026-06-16 12:00"}, out, err),
              0)
        << err.str();
    std::size_t at = 0;
    for (const char* words :
         {"Lanner Bay: harmonic prediction from tide.csv", "46.0814 N 27.9303 W", "HW Tue 16 Jun 2026 05:21",
          "Rook Quay: secondary port of Lanner Bay", "tide of 2026", "HW Tue 16 Jun 2026 05:55",
          "Gannet Head: high and low waters of gannet-head.csv", "pressure 1028 hPa, 10 above",
          "surge -0.10 m", "with a zone of its own", "HW Tue 16 Jun 2026 05:13 UTC+00   5.10 m"}) {
        const auto found = out.str().find(words, at);
        ASSERT_NE(found, std::string::npos) << words << " in\n" << out.str();
        at = found;
    }
    // The table ends on 22 June.
    std::ostringstream later;
    ASSERT_EQ(dangerline::command::program(
                  {"tide", plan, "--from", "2026-06-22T03:30Z", "--to", "2026-06-22T04:30Z"}, later, err),
              0);
    EXPECT_NE(later.str().find("unknown   2026-06-22T04:00:00Z"), std::string::npos) << later.str();
}

// A stream is printed with what it rests on; a place no station reaches is unknown and says so.
TEST(Program, stream_prints_where_it_comes_from) {
    const std::string plan = (support::testdata() / "demo/plan.toml").string();
    const auto run = [&](const char* place) {
        std::ostringstream out, err;
        EXPECT_EQ(dangerline::command::program({"stream", plan, "--at", place, "--from", "2026-06-16 00:00",
                                                "--to", "2026-06-16 02:00"},
                                               out, err),
                  0)
            << err.str();
        return out.str();
    };
    const auto near = run("-27.902,46.063");
    for (const char* words : {"Off Gull Point, panel of X14DEMO1 by HW Lanner Bay", "sets 084", "1.1 kn"})
        EXPECT_NE(near.find(words), std::string::npos) << words << near;
    const auto far = run("-27.95,46.005");
    EXPECT_NE(far.find("unknown"), std::string::npos) << far;
    EXPECT_NE(far.find("within 3.0 NM"), std::string::npos) << far;
    std::ostringstream out, err;
    EXPECT_EQ(dangerline::command::program({"stream", plan, "--at", "46.06,-127.9", "--from",
                                            "2026-06-16 00:00", "--to", "2026-06-16 02:00"},
                                           out, err),
              2);
    EXPECT_NE(err.str().find("longitude, then latitude"), std::string::npos) << err.str();
}
