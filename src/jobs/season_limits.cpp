#include "jobs/season_limits.hpp"

#include "dangerline/sea/sun.hpp"

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

using Twice = TimeZone::Twice;

/// Local days of `times`: from one midnight to the next, clock changes counted.
template <typename Visit>
void for_each_day(const TimeZone& zone, const Interval& times, Visit visit) {
    const CalendarDay last = zone.day(times.to);
    for (CalendarDay day = zone.day(times.from); day <= last; day = day_after(day))
        visit(day,
              Interval{zone.instant(day, 0, Twice::first), zone.instant(day_after(day), 0, Twice::first)});
}

TimeSet on_other_days(const plan::Plan& plan, const Interval& times) {
    std::vector<Interval> out;
    for_each_day(plan.zone, times, [&](const CalendarDay& day, const Interval& all) {
        if (!plan.season->weekdays[weekday_of(day)])
            out.push_back(all);
    });
    return TimeSet::of_any(std::move(out));
}

/// Before a clock time of each day, or after it. Of an hour that happens twice the half counts that closes
/// more.
TimeSet outside_clock(const plan::Plan& plan, const Interval& times, int minutes, bool before) {
    std::vector<Interval> out;
    for_each_day(plan.zone, times, [&](const CalendarDay& day, const Interval& all) {
        const Instant at = plan.zone.instant(day, minutes, before ? Twice::second : Twice::first);
        out.push_back(before ? Interval{all.from, at} : Interval{at, all.to});
    });
    return TimeSet::of_any(std::move(out));
}

/// When the tide at an end does not suit its slip, or is not known.
TimeSet unusable(const plan::UsableTide& usable, const passage::Tides& tides, const tide::Choice& choice,
                 int datum, const Interval& times) {
    std::vector<Interval> out;
    const auto add = [&](const std::vector<tide::TimeSpan>& spans) {
        for (const auto& s : spans)
            out.push_back({s.from, s.to});
    };
    for (const std::size_t i : choice.stations) {
        const auto& station = tides.stations.at(i);
        const auto offset = station.datums.offset_to(datum);
        if (!offset)
            return TimeSet(times);
        const auto& curve = station.prediction.curve;
        add(curve.unknown(times.from, times.to));
        const auto below = [&](double level_m) {
            return curve.below(TideHeight::from_metres(level_m - *offset), times.from, times.to).spans;
        };
        if (usable.at_least_m)
            add(below(*usable.at_least_m));
        if (usable.at_most_m) {
            std::vector<Interval> low;
            for (const auto& s : below(*usable.at_most_m))
                low.push_back({s.from, s.to});
            for (const auto& high : TimeSet::of_any(std::move(low)).complement(times).intervals())
                out.push_back(high);
        }
    }
    return choice.stations.empty() ? TimeSet(times) : TimeSet::of_any(std::move(out));
}

std::string usable_words(const char* what, const plan::UsableTide& usable) {
    std::string words = what;
    if (usable.at_least_m)
        words += fmt::format(" at least {:.1f} m", *usable.at_least_m);
    if (usable.at_most_m)
        words += fmt::format("{} at most {:.1f} m", usable.at_least_m ? "," : "", *usable.at_most_m);
    return words;
}

void add_daylight(const plan::SeasonAsked& asked, const passage::Track& track, const Interval& times,
                  passage::SeasonAsk& ask) {
    using Daylight = plan::SeasonAsked::Daylight;
    const double length = track.length();
    const auto dark = [&](double s, double altitude_deg) {
        return sea::sun_above(track.position_at(s), altitude_deg, times.from, times.to).complement(times);
    };
    if (asked.daylight == Daylight::not_asked)
        return;
    const bool sun = asked.daylight == Daylight::sun;
    const double altitude = sun ? sea::sunrise_altitude_deg : sea::civil_twilight_altitude_deg;
    const char* words = sun ? "the Sun is not up" : "it is dark (civil twilight)";
    // Where it begins and ends the Sun of that place counts, on the way that of both.
    const TimeSet at_start = dark(0.0, altitude), at_end = dark(length, altitude);
    ask.limits.push_back({words, {0.0, 0.0}, at_start});
    ask.limits.push_back({words, {length, length}, at_end});
    ask.limits.push_back({words, {0.0, length}, at_start.common(at_end)});
}

} // namespace

Interval departures_of(const plan::Plan& plan) {
    return {plan.zone.instant(plan.season->from, 0, Twice::first),
            plan.zone.instant(day_after(plan.season->to), 0, Twice::first)};
}

passage::SeasonAsk ask_of(const plan::Plan& plan, const passage::Track& track, const passage::Tides& tides,
                          int chart_datum, const Interval& times) {
    const auto& asked = *plan.season;
    passage::SeasonAsk ask{.departures = departures_of(plan), .robustness = asked.robustness};
    ask.longest_s = asked.longest_s;
    add_daylight(asked, track, times, ask);
    const geo::Span start{0.0, 0.0}, end{track.length(), track.length()};
    if (TimeSet other = on_other_days(plan, times); !other.empty())
        ask.limits.push_back({"another day of the week", start, std::move(other)});
    if (asked.not_before_min)
        ask.limits.push_back({"before the earliest departure", start,
                              outside_clock(plan, times, *asked.not_before_min, true)});
    if (asked.home_by_min)
        ask.limits.push_back(
            {"back after the latest return", end, outside_clock(plan, times, *asked.home_by_min, false)});
    const auto choice_at = [&](bool at_start) {
        if (tides.reaches.empty())
            return tide::Choice{};
        return at_start ? tides.reaches.front().choice : tides.reaches.back().choice;
    };
    if (asked.launch.any())
        ask.limits.push_back({usable_words("launching needs a tide of", asked.launch), start,
                              unusable(asked.launch, tides, choice_at(true), chart_datum, times)});
    if (asked.recovery.any())
        ask.limits.push_back({usable_words("recovery needs a tide of", asked.recovery), end,
                              unusable(asked.recovery, tides, choice_at(false), chart_datum, times)});
    return ask;
}

} // namespace dangerline::jobs
