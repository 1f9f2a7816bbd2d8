// When water was surveyed, as far as its chart says.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "dangerline/base/time.hpp"
#include "dangerline/chart/feature.hpp"

namespace dangerline::survey {

/// The days a date of CCYY, CCYYMM or CCYYMMDD may mean, first and last.
struct PartialDate {
    enum class Precision : std::uint8_t { year, month, day };
    CalendarDay earliest{};
    CalendarDay latest{};
    Precision precision = Precision::year;
    bool operator==(const PartialDate&) const = default;
};

/// Reads an S-57 date; dashes and blanks around are taken too (chart::plain_date). Nothing for yearly dates,
/// days that do not exist, years outside 1600 to 2100 and junk.
std::optional<PartialDate> read_date(std::string_view text);

/// What an object says of the survey it rests on.
struct Facts {
    std::optional<PartialDate> begun{};   ///< SURSTA
    std::optional<PartialDate> ended{};   ///< SUREND
    std::optional<PartialDate> sourced{}; ///< SORDAT: not surveyed after it, no more
    std::uint32_t techniques = 0;         ///< bit n for TECSOU n
    bool has(int technique) const { return (techniques >> technique & 1U) != 0; }
    bool lead_line() const { return has(5); }
    bool operator==(const Facts&) const = default;
};

Facts facts_of(const chart::Feature& feature);

/// Both together, as where two zones lie over each other: the older begin, the later end, the earlier bound,
/// the techniques of both.
Facts together(const Facts& a, const Facts& b);

/// How the date of a survey is known.
enum class DateKnown : std::uint8_t {
    begun,      ///< its oldest part is dated
    ended_only, ///< its end is, its begin is not: "at least"
    bound_only, ///< undated, but not surveyed after the date of its source
    none        ///< undated, or no day of use to reckon at
};
const char* to_text(DateKnown how);

struct Age {
    std::optional<double> years{}; ///< of the oldest part, from the first day it may mean; nothing: not known
    double at_least_years = 0.0;   ///< holds whatever is known, 0 where nothing is
    DateKnown how = DateKnown::none;
    /// What is not known to be younger counts as older.
    bool may_exceed(double limit_years) const { return !years || *years > limit_years; }
    /// The age to reckon with: known or at least so much.
    double reckoned_years() const { return years.value_or(at_least_years); }
};

/// Age on the day of use, in years of 365.25 days. A begin after its end counts from the older of the two, a
/// begin after the date of its own source from that; a begin after the day of use is no date.
Age age_of(const Facts& facts, const std::optional<CalendarDay>& day_of_use);

/// "1940–49", "1899–1936", "1968", "ended 1936, begun at an unknown date", "undated, not surveyed after
/// 2003", "undated".
std::string when_words(const Facts& facts);

/// "surveyed more than a year ago", "surveyed 90 years ago", "surveyed at an unknown date, at least 23 years
/// ago", "surveyed at an unknown date": of what is over a year old, or may be.
std::string ago_words(const Age& age);

/// Whether the oldest part is known to be of this year or later, no bound being older.
bool known_since(const Facts& facts, int year);
/// Whether any date shows a part surveyed before this year.
bool before(const Facts& facts, int year);

} // namespace dangerline::survey
