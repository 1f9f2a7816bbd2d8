#include "dangerline/base/time.hpp"

#include <chrono>
#include <cmath>
#include <cstdio>
#include <stdexcept>

#include <date/date.h>
#include <date/tz.h>
#include <fmt/format.h>

namespace dangerline {

namespace {

date::year_month_day to_date(const CalendarDay& d) {
    return date::year{d.year} / date::month{d.month} / date::day{d.day};
}

date::sys_seconds whole_seconds(Instant t) {
    return date::sys_seconds{std::chrono::seconds{std::llround(t.unix_seconds())}};
}

/// Rounded to the minute, so that 06:59:45 reads 07:00.
date::sys_seconds whole_minutes(Instant t) {
    return date::sys_seconds{std::chrono::seconds{60 * std::llround(t.unix_seconds() / 60.0)}};
}

struct ClockTime {
    CalendarDay day;
    int seconds = 0; // since midnight
    bool utc = false;
};

std::optional<ClockTime> parse_clock(std::string_view text) {
    ClockTime c;
    std::string s(text);
    if (!s.empty() && s.back() == 'Z') {
        c.utc = true;
        s.pop_back();
    }
    if (s.size() != 16 && s.size() != 19)
        return std::nullopt;
    const auto day = parse_day(std::string_view(s).substr(0, 10));
    if (!day || (s[10] != 'T' && s[10] != ' ') || s[13] != ':' || (s.size() == 19 && s[16] != ':'))
        return std::nullopt;
    for (const std::size_t i : {11U, 12U, 14U, 15U, 17U, 18U})
        if (i < s.size() && (s[i] < '0' || s[i] > '9'))
            return std::nullopt;
    const int h = std::stoi(s.substr(11, 2)), m = std::stoi(s.substr(14, 2));
    const int sec = s.size() == 19 ? std::stoi(s.substr(17, 2)) : 0;
    if (h > 23 || m > 59 || sec > 59)
        return std::nullopt;
    c.day = *day;
    c.seconds = h * 3600 + m * 60 + sec;
    return c;
}

/// Zones without letters of their own are called by their offset ("+00"): "UTC+00" reads as one.
std::string zone_words(const date::zoned_time<std::chrono::seconds>& local) {
    const std::string name = date::format("%Z", local);
    return name.starts_with('+') || name.starts_with('-') ? "UTC" + name : name;
}

const date::time_zone* zone_of(const void* zone) {
    return static_cast<const date::time_zone*>(zone);
}

} // namespace

Instant start_of(const CalendarDay& day) {
    const auto d = to_date(day);
    if (!d.ok())
        throw std::invalid_argument("no such day: " + to_text(day));
    return Instant::from_unix_seconds(
        static_cast<double>(date::sys_seconds{date::sys_days{d}}.time_since_epoch().count()));
}

CalendarDay day_of(Instant t) {
    const auto days = date::sys_days{date::days{static_cast<int>(std::floor(t.unix_seconds() / 86400.0))}};
    const date::year_month_day d{days};
    return {int{d.year()}, unsigned{d.month()}, unsigned{d.day()}};
}

long days_between(const CalendarDay& a, const CalendarDay& b) {
    return std::lround((start_of(b) - start_of(a)) / 86400.0);
}

CalendarDay day_after(const CalendarDay& day, long days) {
    return day_of(start_of(day) + 86400.0 * static_cast<double>(days));
}

unsigned weekday_of(const CalendarDay& day) {
    return date::weekday{date::sys_days{to_date(day)}}.c_encoding();
}

std::optional<CalendarDay> parse_day(std::string_view text) {
    if (text.size() != 10 || text[4] != '-' || text[7] != '-')
        return std::nullopt;
    for (const std::size_t i : {0U, 1U, 2U, 3U, 5U, 6U, 8U, 9U})
        if (text[i] < '0' || text[i] > '9')
            return std::nullopt;
    const std::string s(text);
    const CalendarDay d{std::stoi(s.substr(0, 4)), static_cast<unsigned>(std::stoi(s.substr(5, 2))),
                        static_cast<unsigned>(std::stoi(s.substr(8, 2)))};
    if (!to_date(d).ok())
        return std::nullopt;
    return d;
}

std::string to_text(const CalendarDay& d) {
    return fmt::format("{:04}-{:02}-{:02}", d.year, d.month, d.day);
}

std::string to_iso_utc(Instant t) {
    return date::format("%Y-%m-%dT%H:%M:%SZ", whole_seconds(t));
}

std::optional<Instant> parse_iso_utc(std::string_view text) {
    const auto c = parse_clock(text);
    if (!c || !c->utc || text[10] != 'T')
        return std::nullopt;
    return start_of(c->day) + c->seconds;
}

TimeZone::TimeZone(const std::string& name) : name_(name) {
    try {
        zone_ = date::locate_zone(name);
    } catch (const std::exception&) {
        throw std::invalid_argument("no time zone named \"" + name + "\" in the IANA database");
    }
}

Instant TimeZone::parse(std::string_view text) const {
    const auto c = parse_clock(text);
    if (!c)
        throw std::invalid_argument("\"" + std::string(text) + "\" is not a time like \"2026-06-01 06:12\"");
    if (c->utc)
        return start_of(c->day) + c->seconds;
    const date::local_seconds local =
        date::local_seconds{date::local_days{to_date(c->day)}} + std::chrono::seconds{c->seconds};
    const date::local_info info = zone_of(zone_)->get_info(local);
    if (info.result == date::local_info::nonexistent)
        throw std::invalid_argument("\"" + std::string(text) + "\" never happens in " + name_ +
                                    ": clocks are set forward over it");
    if (info.result == date::local_info::ambiguous)
        throw std::invalid_argument("\"" + std::string(text) + "\" happens twice in " + name_ +
                                    ": clocks are set back; write it in UTC with a Z");
    return Instant::from_unix_seconds(
        static_cast<double>((local.time_since_epoch() - info.first.offset).count()));
}

std::string TimeZone::to_text(Instant t) const {
    const date::zoned_time<std::chrono::seconds> local{zone_of(zone_), whole_minutes(t)};
    return date::format("%a ", local) +
           std::to_string(
               unsigned{date::year_month_day{date::floor<date::days>(local.get_local_time())}.day()}) +
           date::format(" %b %Y %H:%M ", local) + zone_words(local);
}

std::string TimeZone::clock(Instant t) const {
    const date::zoned_time<std::chrono::seconds> local{zone_of(zone_), whole_minutes(t)};
    return date::format("%H:%M ", local) + zone_words(local);
}

std::string TimeZone::to_iso(Instant t) const {
    return date::format("%Y-%m-%dT%H:%M%Ez",
                        date::zoned_time<std::chrono::seconds>{zone_of(zone_), whole_minutes(t)});
}

CalendarDay TimeZone::day(Instant t) const {
    const auto offset =
        zone_of(zone_)
            ->get_info(whole_seconds(Instant::from_unix_seconds(std::floor(t.unix_seconds()))))
            .offset;
    return day_of(t + static_cast<double>(offset.count()));
}

double TimeZone::minutes_of_day(Instant t) const {
    const auto offset =
        zone_of(zone_)
            ->get_info(whole_seconds(Instant::from_unix_seconds(std::floor(t.unix_seconds()))))
            .offset;
    const Instant local = t + static_cast<double>(offset.count());
    return (local - start_of(day_of(local))) / 60.0;
}

Instant TimeZone::instant(const CalendarDay& day, int minutes, Twice which) const {
    const date::local_seconds local =
        date::local_seconds{date::local_days{to_date(day)}} + std::chrono::minutes{minutes};
    const date::local_info info = zone_of(zone_)->get_info(local);
    if (info.result == date::local_info::nonexistent)
        return Instant::from_unix_seconds(static_cast<double>(info.first.end.time_since_epoch().count()));
    const bool second = info.result == date::local_info::ambiguous && which == Twice::second;
    const auto offset = second ? info.second.offset : info.first.offset;
    return Instant::from_unix_seconds(static_cast<double>((local.time_since_epoch() - offset).count()));
}

} // namespace dangerline
