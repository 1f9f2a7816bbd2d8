#include "dangerline/survey/dates.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "dangerline/chart/dates.hpp"

namespace dangerline::survey {

namespace {

constexpr double days_a_year = 365.25;

template <typename Better>
std::optional<PartialDate> one_of(const std::optional<PartialDate>& a, const std::optional<PartialDate>& b,
                                  Better better) {
    if (!a || !b)
        return a ? a : b;
    return better(*a, *b) ? a : b;
}

double years_from(const CalendarDay& then, const CalendarDay& day) {
    return std::max(0.0, static_cast<double>(days_between(then, day)) / days_a_year);
}

/// The first day the oldest part may be of, contradictions taken to the older side.
std::optional<CalendarDay> oldest(const Facts& f) {
    if (!f.begun)
        return std::nullopt;
    CalendarDay day = f.begun->earliest;
    if (f.ended)
        day = std::min(day, f.ended->earliest);
    if (f.sourced)
        day = std::min(day, f.sourced->latest);
    return day;
}

} // namespace

std::optional<PartialDate> read_date(std::string_view text) {
    const std::string plain = chart::plain_date(text);
    const auto latest = chart::latest_day_of(plain);
    if (!latest)
        return std::nullopt;
    using Precision = PartialDate::Precision;
    if (plain.size() == 8)
        return PartialDate{*latest, *latest, Precision::day};
    const bool month = plain.size() == 6;
    return PartialDate{
        {latest->year, month ? latest->month : 1U, 1U}, *latest, month ? Precision::month : Precision::year};
}

Facts facts_of(const chart::Feature& f) {
    Facts facts{read_date(f.attributes.text("SURSTA")), read_date(f.attributes.text("SUREND")),
                read_date(f.attributes.text("SORDAT")), 0};
    for (const int code : f.attributes.codes("TECSOU"))
        if (code > 0 && code < 32)
            facts.techniques |= 1U << code;
    return facts;
}

Facts together(const Facts& a, const Facts& b) {
    const auto older = [](const PartialDate& x, const PartialDate& y) { return x.earliest <= y.earliest; };
    const auto later = [](const PartialDate& x, const PartialDate& y) { return x.latest >= y.latest; };
    const auto sooner = [](const PartialDate& x, const PartialDate& y) { return x.latest <= y.latest; };
    return {one_of(a.begun, b.begun, older), one_of(a.ended, b.ended, later),
            one_of(a.sourced, b.sourced, sooner), a.techniques | b.techniques};
}

const char* to_text(DateKnown how) {
    switch (how) {
    case DateKnown::begun:
        return "begun";
    case DateKnown::ended_only:
        return "ended_only";
    case DateKnown::bound_only:
        return "bound_only";
    case DateKnown::none:
        return "none";
    }
    return "";
}

Age age_of(const Facts& f, const std::optional<CalendarDay>& day_of_use) {
    if (!day_of_use)
        return {};
    Age age;
    const auto at_least = [&](const std::optional<PartialDate>& date) {
        if (date)
            age.at_least_years = std::max(age.at_least_years, years_from(date->latest, *day_of_use));
    };
    at_least(f.ended);
    at_least(f.sourced);
    if (const auto begin = oldest(f); begin && *begin <= *day_of_use) {
        age.years = years_from(*begin, *day_of_use);
        age.at_least_years = *age.years;
        age.how = DateKnown::begun;
    } else if (f.ended && f.ended->latest <= *day_of_use) {
        age.how = DateKnown::ended_only;
    } else if (f.sourced) {
        age.how = DateKnown::bound_only;
    }
    return age;
}

std::string when_words(const Facts& f) {
    if (f.begun && f.ended && f.begun->earliest.year != f.ended->latest.year) {
        const int first = std::min(f.begun->earliest.year, f.ended->latest.year);
        const int last = std::max(f.begun->earliest.year, f.ended->latest.year);
        return first / 100 == last / 100 ? fmt::format("{}–{:02}", first, last % 100)
                                         : fmt::format("{}–{}", first, last);
    }
    if (f.begun)
        return std::to_string(f.begun->earliest.year);
    if (f.ended)
        return fmt::format("ended {}, begun at an unknown date", f.ended->latest.year);
    if (f.sourced)
        return fmt::format("undated, not surveyed after {}", f.sourced->latest.year);
    return "undated";
}

std::string ago_words(const Age& age) {
    if (age.years)
        return *age.years < 2.0 ? "surveyed more than a year ago"
                                : fmt::format("surveyed {:.0f} years ago", std::floor(*age.years));
    if (age.at_least_years >= 1.0)
        return fmt::format("surveyed at an unknown date, at least {:.0f} years ago",
                           std::floor(age.at_least_years));
    return "surveyed at an unknown date";
}

bool known_since(const Facts& f, int year) {
    const auto begin = oldest(f);
    return begin && begin->year >= year;
}

bool before(const Facts& f, int year) {
    const auto begin = oldest(f);
    return (begin && begin->year < year) || (f.ended && f.ended->latest.year < year) ||
           (f.sourced && f.sourced->latest.year < year);
}

} // namespace dangerline::survey
