// Points in time. UTC inside and in data fields; local time with its zone in what people read.
#pragma once

#include <compare>
#include <optional>
#include <string>
#include <string_view>

namespace dangerline {

/// A point in UTC, in seconds since 1970-01-01T00:00:00Z without leap seconds; resolution better than 1 µs
/// between 1900 and 2100.
class Instant {
  public:
    static constexpr Instant from_unix_seconds(double seconds) { return Instant(seconds); }
    constexpr double unix_seconds() const { return seconds_; }
    constexpr auto operator<=>(const Instant&) const = default;

  private:
    constexpr explicit Instant(double seconds) : seconds_(seconds) {}
    double seconds_;
};

constexpr Instant operator+(Instant t, double seconds) {
    return Instant::from_unix_seconds(t.unix_seconds() + seconds);
}
constexpr Instant operator-(Instant t, double seconds) {
    return t + -seconds;
}
/// Seconds from b to a.
constexpr double operator-(Instant a, Instant b) {
    return a.unix_seconds() - b.unix_seconds();
}

/// A day of the proleptic Gregorian calendar.
struct CalendarDay {
    int year = 1970;
    unsigned month = 1;
    unsigned day = 1;
    auto operator<=>(const CalendarDay&) const = default;
};

/// Midnight UTC at the start of that day. Throws std::invalid_argument where no such day exists.
Instant start_of(const CalendarDay& day);
CalendarDay day_of(Instant t);
/// Whole days from a to b, negative where b is earlier.
long days_between(const CalendarDay& a, const CalendarDay& b);
CalendarDay day_after(const CalendarDay& day, long days = 1);
/// 0 Sunday to 6 Saturday.
unsigned weekday_of(const CalendarDay& day);
/// "2026-06-01"; nothing where the text is not such a day.
std::optional<CalendarDay> parse_day(std::string_view text);
std::string to_text(const CalendarDay& day);

/// ISO 8601 in UTC to whole seconds, rounded to nearest: "2026-06-01T06:12:00Z".
std::string to_iso_utc(Instant t);
/// Reads "2026-06-01T06:12Z" or "2026-06-01T06:12:30Z"; nothing where the text is anything else.
std::optional<Instant> parse_iso_utc(std::string_view text);

/// A time zone of the IANA database.
class TimeZone {
  public:
    /// Throws std::invalid_argument where the database has no zone of that name.
    explicit TimeZone(const std::string& name);
    const std::string& name() const { return name_; }

    /// Reads a local clock time "2026-06-01 06:12" (or with T, or with seconds) in this zone, or a UTC time
    /// that ends in Z. Throws std::invalid_argument, saying why, where the text is no such time, where that
    /// hour happens twice (clocks set back) and where it never happens (clocks set forward).
    Instant parse(std::string_view text) const;
    /// "Mon 1 Jun 2026 07:12 BST", rounded to the minute.
    std::string to_text(Instant t) const;
    /// "07:12 BST"
    std::string clock(Instant t) const;
    /// "2026-06-01T07:12+01:00", to whole minutes, rounded.
    std::string to_iso(Instant t) const;

    /// The calendar day there.
    CalendarDay day(Instant t) const;
    /// Minutes of the clock since midnight, 0 to under 1440, seconds as a fraction.
    double minutes_of_day(Instant t) const;
    /// Which of two instants is meant where that clock time happens twice.
    enum class Twice { first, second };
    /// The instant of a clock time, minutes 0 to 1440 since midnight of that day. A time that never happens
    /// is the instant at which the clocks are set over it.
    Instant instant(const CalendarDay& day, int minutes, Twice which) const;

  private:
    std::string name_;
    const void* zone_; // date::time_zone, owned by the library's database
};

} // namespace dangerline
