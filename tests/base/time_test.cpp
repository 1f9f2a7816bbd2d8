#include <gtest/gtest.h>

#include "dangerline/base/time.hpp"

using namespace dangerline;

TEST(Time, reads_and_writes_utc) {
    const auto t = parse_iso_utc("2026-07-15T02:52:00Z");
    ASSERT_TRUE(t);
    EXPECT_EQ(to_iso_utc(*t), "2026-07-15T02:52:00Z");
    EXPECT_EQ(t->unix_seconds(), 1784083920.0); // 20649 days and 2 h 52 min after 1970-01-01
    EXPECT_FALSE(parse_iso_utc("2026-07-15T02:52"));
    EXPECT_FALSE(parse_iso_utc("2026-02-30T02:52Z"));
    EXPECT_FALSE(parse_iso_utc("15.7.2026"));
}

TEST(Time, local_hours_that_happen_twice_or_never_are_refused) {
    const TimeZone london("Europe/London");
    EXPECT_EQ(to_iso_utc(london.parse("2026-06-01 06:12")), "2026-06-01T05:12:00Z");
    EXPECT_EQ(to_iso_utc(london.parse("2026-01-01T06:12")), "2026-01-01T06:12:00Z");
    EXPECT_EQ(to_iso_utc(london.parse("2026-06-01 06:12Z")), "2026-06-01T06:12:00Z");
    EXPECT_THROW(london.parse("2026-10-25 01:30"), std::invalid_argument); // twice
    EXPECT_THROW(london.parse("2026-03-29 01:30"), std::invalid_argument); // never
    EXPECT_THROW(london.parse("tomorrow"), std::invalid_argument);
    EXPECT_THROW(TimeZone("Europe/Nowhere"), std::invalid_argument);
}

TEST(Time, people_read_local_time_with_its_zone) {
    const TimeZone london("Europe/London");
    const Instant t = *parse_iso_utc("2026-06-01T05:59:45Z");
    EXPECT_EQ(london.to_text(t), "Mon 1 Jun 2026 07:00 BST");
    EXPECT_EQ(london.clock(t), "07:00 BST");
    EXPECT_EQ(TimeZone("Atlantic/Azores").clock(t), "06:00 UTC+00");
}

TEST(Time, counts_days) {
    EXPECT_EQ(days_between({2025, 12, 31}, {2026, 3, 1}), 60);
    EXPECT_EQ(day_of(*parse_iso_utc("1969-12-31T23:00:00Z")), (CalendarDay{1969, 12, 31}));
}

// The Azores set their clocks at midnight itself: forward over 00:00 to 01:00 on 29 March 2026, back from
// 01:00 to 00:00 on 25 October (European rule, 01:00 UTC).
TEST(Time, FindsClockTimesThatHappenTwiceOrNever) {
    using Twice = TimeZone::Twice;
    const TimeZone azores("Atlantic/Azores"), london("Europe/London");
    const auto iso = [](Instant t) { return to_iso_utc(t); };
    EXPECT_EQ(iso(azores.instant({2026, 3, 29}, 0, Twice::first)), "2026-03-29T01:00:00Z");
    EXPECT_EQ(iso(azores.instant({2026, 3, 29}, 60, Twice::first)), "2026-03-29T01:00:00Z");
    EXPECT_EQ(iso(azores.instant({2026, 10, 25}, 0, Twice::first)), "2026-10-25T00:00:00Z");
    EXPECT_EQ(iso(azores.instant({2026, 10, 25}, 0, Twice::second)), "2026-10-25T01:00:00Z");
    EXPECT_EQ(iso(azores.instant({2026, 6, 16}, 1440, Twice::first)), "2026-06-17T00:00:00Z");
    EXPECT_EQ(iso(london.instant({2026, 10, 25}, 90, Twice::first)), "2026-10-25T00:30:00Z");
    EXPECT_EQ(iso(london.instant({2026, 10, 25}, 90, Twice::second)), "2026-10-25T01:30:00Z");
    EXPECT_EQ(iso(london.instant({2026, 3, 29}, 90, Twice::second)),
              "2026-03-29T01:00:00Z"); // 01:30 never is
    EXPECT_EQ(london.to_iso(start_of({2026, 10, 25}) + 1800.0), "2026-10-25T01:30+01:00");
    EXPECT_EQ(london.to_iso(start_of({2026, 10, 25}) + 5400.0), "2026-10-25T01:30+00:00");
    EXPECT_EQ(london.day(start_of({2026, 6, 16}) + 23.5 * 3600.0), (CalendarDay{2026, 6, 17}));
    EXPECT_EQ(london.minutes_of_day(start_of({2026, 6, 16}) + 23.5 * 3600.0), 30.0);
    EXPECT_EQ(day_after({2026, 12, 31}), (CalendarDay{2027, 1, 1}));
    EXPECT_EQ(weekday_of({2026, 6, 16}), 2U); // a Tuesday
}
