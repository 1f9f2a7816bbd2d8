// What a skipper asks of a season beside water, on the days and clocks of a place.
#include "jobs/season_limits.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "dangerline/sea/sun.hpp"
#include "support/support.hpp"

namespace {

using namespace dangerline;

const std::string head = R"(zone = "Europe/Berlin"
charts = ["chart"]
[boat]
draught_m = 0.6
speed = "14 kn"
[[tide]]
kind = "fixed"
height_m = 1.0
datum = 23
[[route]]
file = "routes.gpx"
)";

Instant utc(const std::string& text) {
    return parse_iso_utc(text).value();
}

/// Where no coast is, some miles from west to east.
passage::Track track() {
    static const geo::Plane plane({-27.9, 46.0});
    passage::Route route;
    route.name = "limits";
    route.places = {{-27.95, 46.0}, {-27.80, 46.0}};
    route.half_widths_m = {50.0};
    route.speeds_mps = {7.0};
    return passage::Track(route, plane);
}

/// Up and down by 2 m about 3 m every 12.4 hours, known for two years.
tide::Curve wave() {
    tide::Constants constants;
    constants.terms.push_back({tide::find_constituent("M2"), 2.0, 30.0});
    return tide::Curve::harmonic(constants, 3.0, start_of({2026, 1, 1}), start_of({2027, 12, 31}));
}

struct Asked {
    plan::Plan plan;
    passage::SeasonAsk ask;

    const passage::Limit& limit(const std::string& words) const {
        for (const auto& one : ask.limits)
            if (one.what.find(words) != std::string::npos)
                return one;
        throw std::runtime_error("no limit \"" + words + "\"");
    }
};

Asked asked(const std::string& from, const std::string& to, const std::string& rest) {
    const support::TemporaryFolder folder;
    auto plan = plan::read(
        folder.file("plan.toml", head + "[season]\nfrom = " + from + "\nto = " + to + "\n" + rest));
    const auto departures = jobs::departures_of(plan);
    const auto tides = passage::Tides::one(wave(), {23, {}});
    auto ask = jobs::ask_of(plan, track(), tides, 23, {departures.from - 86400.0, departures.to + 86400.0});
    return {std::move(plan), std::move(ask)};
}

const geo::Span start{0.0, 0.0};

} // namespace

TEST(SeasonLimits, DeparturesAreWholeLocalDays) {
    // 23 hours and 25 hours: clocks of Europe/Berlin go forward on 29 March 2026 and back on 25 October.
    const auto spring = asked("2026-03-29", "2026-03-29", "").ask.departures;
    EXPECT_EQ(to_iso_utc(spring.from), "2026-03-28T23:00:00Z");
    EXPECT_EQ(spring.length_s(), 23.0 * 3600.0);
    EXPECT_EQ(asked("2026-10-25", "2026-10-25", "").ask.departures.length_s(), 25.0 * 3600.0);
}

TEST(SeasonLimits, OtherWeekdaysCloseTheStart) {
    const auto all = asked("2026-03-28", "2026-04-03", "days = \"Sun Wed\"\n");
    const auto& limit = all.limit("another day of the week");
    EXPECT_EQ(limit.span, start);
    // Sunday 29 March runs from 23:00 to 22:00 UTC.
    EXPECT_TRUE(limit.closed.contains(utc("2026-03-28T22:59:59Z")));
    EXPECT_FALSE(limit.closed.contains(utc("2026-03-28T23:00Z")));
    EXPECT_FALSE(limit.closed.contains(utc("2026-03-29T21:59:59Z")));
    EXPECT_TRUE(limit.closed.contains(utc("2026-03-29T22:00Z")));
    EXPECT_FALSE(limit.closed.contains(utc("2026-04-01T12:00Z")));
    EXPECT_TRUE(limit.closed.contains(utc("2026-04-02T12:00Z")));
}

// 02:30 never is on 29 March: whoever may not leave before it leaves when the clocks are set over it, 01:00
// UTC.
TEST(SeasonLimits, ClockTimeThatNeverHappens) {
    const auto before = asked("2026-03-28", "2026-03-30", "not_before = \"02:30\"\n");
    const auto& early = before.limit("before the earliest departure");
    EXPECT_EQ(early.span, start);
    EXPECT_TRUE(early.closed.contains(utc("2026-03-28T01:29:59Z"))); // winter time: 02:30 is 01:30 UTC
    EXPECT_FALSE(early.closed.contains(utc("2026-03-28T01:30Z")));
    EXPECT_TRUE(early.closed.contains(utc("2026-03-29T00:59:59Z")));
    EXPECT_FALSE(early.closed.contains(utc("2026-03-29T01:00Z")));
    EXPECT_TRUE(early.closed.contains(utc("2026-03-30T00:29:59Z"))); // summer time: 00:30 UTC
    EXPECT_FALSE(early.closed.contains(utc("2026-03-30T00:30Z")));
    const auto after = asked("2026-03-28", "2026-03-30", "home_by = \"02:30\"\n");
    const auto& late = after.limit("back after the latest return");
    EXPECT_EQ(late.span.from, track().length());
    EXPECT_FALSE(late.closed.contains(utc("2026-03-29T00:59:59Z")));
    EXPECT_TRUE(late.closed.contains(utc("2026-03-29T01:00Z")));
    EXPECT_TRUE(late.closed.contains(utc("2026-03-29T21:59:59Z")));
    EXPECT_FALSE(late.closed.contains(utc("2026-03-29T22:00Z")));
}

// 01:30 happens once on 25 October, 02:30 twice: the half counts that closes more.
TEST(SeasonLimits, ClockTimeThatHappensTwice) {
    const auto before = asked("2026-10-24", "2026-10-26", "not_before = \"02:30\"\n");
    const auto& early = before.limit("before the earliest departure");
    EXPECT_TRUE(early.closed.contains(utc("2026-10-25T00:30Z")));
    EXPECT_TRUE(early.closed.contains(utc("2026-10-25T01:29:59Z")));
    EXPECT_FALSE(early.closed.contains(utc("2026-10-25T01:30Z")));
    const auto after = asked("2026-10-24", "2026-10-26", "home_by = \"02:30\"\n");
    const auto& late = after.limit("back after the latest return");
    EXPECT_FALSE(late.closed.contains(utc("2026-10-25T00:29:59Z")));
    EXPECT_TRUE(late.closed.contains(utc("2026-10-25T00:30Z")));
    EXPECT_TRUE(late.closed.contains(utc("2026-10-25T01:30Z")));
    const auto once = asked("2026-10-24", "2026-10-26", "home_by = \"01:30\"\n");
    EXPECT_FALSE(once.limit("back after the latest return").closed.contains(utc("2026-10-24T23:29:59Z")));
    EXPECT_TRUE(once.limit("back after the latest return").closed.contains(utc("2026-10-24T23:30Z")));
}

TEST(SeasonLimits, SlipsAreClosedWhereTheirTideDoesNotSuit) {
    const auto all = asked("2026-06-01", "2026-06-10",
                           "[season.launch]\nat_least_m = 2.5\n[season.recovery]\nat_least_m = 1.5\n"
                           "at_most_m = 4.2\n");
    const auto& launch = all.limit("launching needs a tide of at least 2.5 m");
    const auto& recovery = all.limit("recovery needs a tide of at least 1.5 m, at most 4.2 m");
    EXPECT_EQ(launch.span, start);
    EXPECT_EQ(recovery.span.from, track().length());
    EXPECT_EQ(recovery.span.to, track().length());
    const auto curve = wave();
    int shut = 0, open = 0;
    for (Instant t = all.ask.departures.from; t < all.ask.departures.to; t = t + 613.0) {
        const double metres = curve.height(t)->metres();
        if (std::abs(metres - 2.5) < 0.01 || std::abs(metres - 1.5) < 0.01 || std::abs(metres - 4.2) < 0.01)
            continue;
        EXPECT_EQ(launch.closed.contains(t), metres < 2.5) << to_iso_utc(t);
        EXPECT_EQ(recovery.closed.contains(t), metres < 1.5 || metres > 4.2) << to_iso_utc(t);
        ++(recovery.closed.contains(t) ? shut : open);
    }
    EXPECT_GT(shut, 100);
    EXPECT_GT(open, 100);
}

TEST(SeasonLimits, LongestTripIsPassedOn) {
    EXPECT_EQ(asked("2026-06-01", "2026-06-02", "longest_h = 4\n").ask.longest_s, 4.0 * 3600.0);
    EXPECT_EQ(asked("2026-06-01", "2026-06-02", "").ask.longest_s, std::nullopt);
}

TEST(SeasonLimits, DaylightOfBothKinds) {
    const double length = track().length();
    const auto check = [&](const char* kind, const char* words, double altitude_deg) {
        const auto all = asked("2026-06-01", "2026-06-10", std::string("daylight = \"") + kind + "\"\n");
        ASSERT_EQ(all.ask.limits.size(), 3U); // where it begins, where it ends, on the way
        const auto& limits = all.ask.limits;
        EXPECT_EQ(limits[0].span, start);
        EXPECT_EQ(limits[1].span, (geo::Span{length, length}));
        EXPECT_EQ(limits[2].span, (geo::Span{0.0, length}));
        for (const auto& limit : limits)
            EXPECT_NE(limit.what.find(words), std::string::npos);
        const Interval times{all.ask.departures.from, all.ask.departures.to};
        const auto light = [&](double s) {
            return sea::sun_above(track().position_at(s), altitude_deg, times.from, times.to);
        };
        EXPECT_NEAR(limits[0].closed.common(TimeSet(times)).length_s(),
                    times.length_s() - light(0.0).length_s(), 1.0);
        EXPECT_TRUE(limits[0].closed.common(light(0.0)).empty());
        EXPECT_TRUE(limits[1].closed.common(light(length)).empty());
        EXPECT_TRUE(limits[2].closed.common(light(0.0).united(light(length))).empty());
    };
    check("sun", "the Sun is not up", sea::sunrise_altitude_deg);
    check("twilight", "it is dark", sea::civil_twilight_altitude_deg);
    const auto sun = asked("2026-06-01", "2026-06-10", "daylight = \"sun\"\n");
    const auto twilight = asked("2026-06-01", "2026-06-10", "daylight = \"twilight\"\n");
    EXPECT_TRUE(sun.ask.limits[0].closed.covers(twilight.ask.limits[0].closed));
    EXPECT_GT(sun.ask.limits[0].closed.length_s(), twilight.ask.limits[0].closed.length_s() + 10.0 * 1800.0);
    EXPECT_TRUE(asked("2026-06-01", "2026-06-10", "").ask.limits.empty());
}
