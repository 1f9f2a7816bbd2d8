// The demo's route, and what becomes of it where something is missing.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "dangerline/jobs/breakdown.hpp"
#include "jobs/drift_plans.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::jobs;
using namespace dangerline::drift_plans;

TEST(BreakdownJob, says_why_no_time_is_known) {
    const auto said = [](const plan::Plan& plan, const std::string& why) {
        const auto report = run_breakdown(plan, std::nullopt);
        const auto& route = report.routes.at(0);
        std::size_t points = 0, stretches = 0;
        for (const auto& p : route.points)
            if (p.why.find(why) != std::string::npos) {
                ++points;
                EXPECT_EQ(p.early_s, 0.0);
                EXPECT_FALSE(p.hazard);
                EXPECT_GT(p.unknown_share, 0.0);
            }
        for (const auto& stretch : route.stretches)
            if (stretch.why.find(why) != std::string::npos) {
                ++stretches;
                EXPECT_EQ(stretch.band, 0u);
            }
        const bool told = std::any_of(route.sentences.begin(), route.sentences.end(), [&](const auto& s) {
            return s.find("no time in hand is known: ") != std::string::npos &&
                   s.find(why) != std::string::npos;
        });
        EXPECT_GT(points, 0u) << why;
        EXPECT_GT(stretches, 0u) << why;
        EXPECT_TRUE(told) << why;
    };
    // A boat that no known stream carries is nowhere in time, and so behind.
    said(changed("swell_m = 0.4", "swell_m = 0.4\nstream_reach_nm = 0.01"), "when the boat is here: ");
    const support::TemporaryFolder folder;
    auto windless = changed("", "");
    windless.drift.wind_series = folder.file(
        "wind.csv", "time,from_deg,speed_kn\n2026-06-15T00:00Z,225,12\n2026-06-15T03:00Z,225,12\n");
    said(windless, "wind not known");
}

TEST(BreakdownJob, demo_route) {
    const auto report = run_breakdown(changed("", ""), std::nullopt);
    ASSERT_EQ(report.routes.size(), 1u);
    const auto& route = report.routes[0];
    ASSERT_TRUE(route.least);
    for (const auto& p : route.points) {
        EXPECT_TRUE(p.early_s <= 0.0 || p.early_s >= route.points[*route.least].early_s);
        EXPECT_TRUE(p.help_s);
    }
    EXPECT_TRUE(route.sentences.at(1).starts_with("It lies on the stretch from ")) << route.sentences[1];
    EXPECT_NE(route.sentences.back().find("; the soonest help takes "), std::string::npos);
    EXPECT_EQ(route.stretches.front().band, 0u) << "at the slip it stands in its danger zone";
    EXPECT_NEAR(route.stretches.back().span.to, route.track.length(), 1e-6);
    for (std::size_t i = 1; i < route.stretches.size(); ++i)
        EXPECT_LE(route.stretches[i].span.from, route.stretches[i - 1].span.to + 1e-6) << "no hole between";
    ASSERT_EQ(route.help.size(), 1u);
    // 10 minutes until they know, 15 until they go, then 20 knots.
    EXPECT_NEAR(route.help[0].seconds, 600.0 + 900.0 + route.help[0].metres / (20.0 * mps_per_knot), 1e-6);
    ASSERT_EQ(route.second.size(), 2u);
    EXPECT_TRUE(route.second[0].heading_deg);
    EXPECT_FALSE(route.second[1].heading_deg);
    EXPECT_GE(route.second[0].early_s, route.points[*route.least].early_s) << "the best of sixteen headings";
}

// Where some time is left, what comes then is told though it be the end of what is known.
TEST(BreakdownJob, stretch_says_what_comes_then) {
    const support::TemporaryFolder folder;
    auto plan = changed("", "");
    plan.drift.wind_series =
        folder.file("wind.csv", "time,from_deg,speed_kn\n2026-06-16T06:00Z,225,2\n2026-06-16T07:20Z,225,2\n");
    const auto report = run_breakdown(plan, std::nullopt);
    const auto& route = report.routes.at(0);
    std::size_t unknown = 0, met = 0;
    for (const auto& stretch : route.stretches) {
        const auto& least = route.points[stretch.least];
        if (least.early_s <= 0.0 || !std::isfinite(least.early_s))
            continue;
        const auto words = stretch_words(route, stretch, report.base);
        (least.hazard ? met : unknown) += 1;
        EXPECT_NE(words.find(least.hazard ? "min: " + report.base.hazards[*least.hazard].label
                                          : "min, then nothing is known: wind not known"),
                  std::string::npos)
            << words;
        EXPECT_EQ(words.ends_with("; help comes too late"), stretch.help_too_late);
    }
    EXPECT_GT(unknown, 0u);
    EXPECT_GT(met, 0u);
}

// Help rounds up: 30 seconds more are a minute.
TEST(BreakdownJob, help_takes_never_less_than_is_told) {
    auto plan = changed("", "");
    const auto report = run_breakdown(plan, std::nullopt);
    const auto& help = report.routes.at(0).help.at(0);
    ASSERT_GT(std::fmod(help.seconds, 60.0), 0.0);
    const auto words = std::to_string(static_cast<long>(std::ceil(help.seconds / 60.0))) + " min";
    std::size_t told = 0;
    for (const auto& s : report.routes[0].sentences) {
        if (s.starts_with("Help from ")) {
            ++told;
            EXPECT_NE(s.find(": " + words + " ("), std::string::npos) << s;
        }
        if (s.find("the soonest help takes ") != std::string::npos) {
            EXPECT_NE(s.find("the soonest help takes " + words), std::string::npos) << s;
        }
    }
    EXPECT_EQ(told, 1u);
}

// A route with no danger met but at its ends says so of the rest alone.
TEST(BreakdownJob, words_of_a_route_with_dangers_at_its_ends) {
    auto plan = changed("hours = 4", "hours = 4\nstream = \"none\"");
    plan.drift.lasts_s = 60.0;
    plan.wind->mps = 0.0;
    plan.drift.errors = drift::Errors::none();
    const auto report = run_breakdown(plan, std::nullopt);
    const auto& route = report.routes.at(0);
    ASSERT_EQ(route.stretches.front().band, 0u) << "the slip";
    ASSERT_TRUE(route.least);
    ASSERT_FALSE(std::isfinite(route.points[*route.least].early_s));
    EXPECT_TRUE(route.sentences[0].starts_with("Where the engine stops with any time in hand at all, fewer"))
        << route.sentences[0];
}
