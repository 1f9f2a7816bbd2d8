#include "dangerline/passage/windows.hpp"

#include <algorithm>
#include <set>

#include "passage/season_run.hpp"

namespace dangerline::passage {

namespace {

constexpr double slack_s = 3600.0;
constexpr double look_s = 600.0; ///< how often the length of a trip is looked at

Interval widened(const Interval& i, double before_s, double after_s) {
    return {i.from - before_s, i.to + after_s};
}

/// Departures of `within` whose trip takes longer than the limit; looked for every 10 min, ends to a second.
TimeSet too_long(const Voyage& voyage, double length_m, double longest_s, const Interval& within) {
    const auto over = [&](Instant d) { return voyage.leave(length_m, d) - d > longest_s; };
    std::vector<Interval> out;
    Instant a = within.from;
    bool long_a = over(a);
    while (a < within.to) {
        const Instant b = std::min(a + look_s, within.to);
        const bool long_b = over(b);
        Instant low = a, high = b;
        while (long_a != long_b && high - low > 1.0) {
            const Instant middle = low + 0.5 * (high - low);
            (over(middle) == long_a ? low : high) = middle;
        }
        if (long_a)
            out.push_back({a, long_b ? b : high});
        else if (long_b)
            out.push_back({low, b});
        a = b;
        long_a = long_b;
    }
    return TimeSet::of_any(std::move(out));
}

void add_longest(const SeasonRun& run, const Mapper& mapper, std::vector<Condition>& to) {
    if (!run.ask.longest_s)
        return;
    TimeSet closed = too_long(mapper.voyage(), run.track.length(), *run.ask.longest_s, mapper.departures());
    Reason& reason = run.conditions.reasons.emplace_back();
    reason.grade = hazard::Grade::note;
    reason.what = "the trip is too long";
    reason.limit = true;
    Condition& c = to.emplace_back();
    c.when = Condition::When::departures;
    c.during = std::make_shared<const TimeSet>(std::move(closed));
    c.reason = run.conditions.reasons.size() - 1;
    c.charted = false;
}

/// What depends on the voyage: its streams, and when it is on a bar.
std::vector<Condition> own_conditions(const Mapper& mapper, ConditionSet& set, const Conditions& conditions,
                                      SeasonTides& tides) {
    auto out = conditions_of(mapper.voyage(), set.reasons);
    for (auto& rough : rough_conditions(set.rough, mapper, conditions, tides.times()))
        out.push_back(std::move(rough));
    close_bars(set.bars, mapper, tides, conditions.doubts.time_margin_s, 0.0, out);
    return out;
}

std::vector<Window> windows_between(const SeasonRun& run, const std::vector<Closed>& not_offered) {
    const auto& sure = run.ask.robustness;
    std::vector<Window> out;
    for (const auto& open : run.offered(not_offered).intervals()) {
        const TimeSet rounded = TimeSet(open).rounded_inwards(sure.rounding_s).at_least(sure.shortest_s);
        if (rounded.empty())
            continue;
        Window w;
        w.exact = open;
        w.when = rounded.intervals().front();
        const auto next = std::lower_bound(not_offered.begin(), not_offered.end(), open.to,
                                           [](const Closed& c, Instant t) { return c.when.from < t; });
        if (next != not_offered.end())
            w.closed_by = next->begins;
        if (next != not_offered.begin())
            w.opened_by = std::prev(next)->ends;
        const Voyage& voyage = run.full.voyage();
        w.arrives_first = voyage.reach(run.track.length(), w.when.from);
        w.arrives_last = voyage.reach(run.track.length(), w.when.to);
        out.push_back(std::move(w));
    }
    return out;
}

/// Departures from the far end at which the way home is open, doubts included.
TimeSet home_open(const WayHome& home, const VoyageMaker& voyages, const hazard::Hazards& hazards,
                  const Interval& leaving) {
    const Voyage voyage = voyages(home.track, 1.0, leaving);
    const Interval times{leaving.from - slack_s, voyage.leave(home.track.length(), leaving.to) + slack_s};
    SeasonTides tides(home.conditions, home.track.length(), times);
    const SeasonAsk plain{.departures = leaving};
    const TriedAlong tried(home.track, home.conditions.tried.get(), home.conditions.boat);
    ConditionSet set = conditions_of(home.track, false, hazards, home.conditions, tried, plain, tides);
    const Mapper mapper(voyage, set.landings, leaving);
    auto tags = closings(set.visible, mapper, tides, Reading::margin);
    for (const auto& tag :
         closings(own_conditions(mapper, set, home.conditions, tides), mapper, tides, Reading::margin))
        tags.push_back(tag);
    return set_of(merged(std::move(tags), leaving)).complement(leaving);
}

/// Departures for home that arrive when a limit of the trip's end will not have it: dark, late, the slip dry.
TimeSet home_too_late(const WayHome& home, const SeasonRun& run, const Interval& leaving) {
    const Voyage voyage = run.voyages(home.track, 1.0, leaving);
    const double end = home.track.length();
    std::vector<Interval> closed;
    for (const auto& limit : run.ask.limits) {
        if (limit.span.to < run.track.length())
            continue;
        for (const auto& span : limit.closed.intervals())
            closed.push_back({std::max(leaving.from, voyage.departure_leaving(end, span.from)),
                              std::min(leaving.to, voyage.departure_reaching(end, span.to))});
    }
    return TimeSet::of_any(std::move(closed));
}

void add_turn_back(Season& season, const SeasonRun& run, const WayHome& home,
                   const hazard::Hazards& hazards) {
    if (season.windows.empty())
        return;
    constexpr double after_s = 3.0 * 86400.0; // a way home that stays closed longer is closed for good
    const Voyage& voyage = run.full.voyage();
    const Interval leaving{season.asked.from, voyage.reach(home.far_m, season.asked.to) + after_s};
    const TimeSet open =
        home_open(home, run.voyages, hazards, leaving).without(home_too_late(home, run, leaving));
    for (auto& w : season.windows) {
        const Instant there = voyage.reach(home.far_m, w.when.from);
        Instant closes = there;
        if (const auto now = open.around(there)) {
            if (now->to >= leaving.to || now->to - there > after_s)
                continue; // nothing closes it that soon
            closes = now->to;
            w.turn_back_by = now->to;
        }
        if (const auto next = open.next(closes))
            w.stuck_until = next->from;
    }
}

} // namespace

Season season(const Track& track, const VoyageMaker& voyages, const hazard::Hazards& hazards,
              const Conditions& conditions, const SeasonAsk& ask, const WayHome* home) {
    const auto& sure = ask.robustness;
    const Interval departures = widened(ask.departures, sure.early_s, sure.late_s);
    const Voyage full_voyage = voyages(track, 1.0, departures);
    const Voyage slow_voyage = voyages(track, 1.0 - sure.slower, departures);
    const double end = track.length();
    const double margin = conditions.doubts.time_margin_s;
    const Interval times = widened({departures.from, std::max(full_voyage.leave(end, departures.to),
                                                              slow_voyage.leave(end, departures.to))},
                                   margin + slack_s, margin + slack_s);
    SeasonTides tides(conditions, end, times);
    const TriedAlong tried(track, conditions.tried.get(), conditions.boat);
    ConditionSet set = conditions_of(track, true, hazards, conditions, tried, ask, tides);
    const Mapper full(full_voyage, set.landings, departures);
    const Mapper slow(slow_voyage, set.landings, departures);
    SeasonRun run{track, voyages, ask, tides, set, tried, hazards, margin, full, slow, {}, {}};
    run.full_own = own_conditions(full, set, conditions, tides);
    run.slow_own = own_conditions(slow, set, conditions, tides);
    add_longest(run, full, run.full_own);
    add_longest(run, slow, run.slow_own);

    Season out;
    out.asked = ask.departures;
    out.closed = run.closed();
    out.open = set_of(out.closed).complement(ask.departures);
    out.not_offered = run.not_offered();
    out.windows = windows_between(run, out.not_offered);
    if (home)
        add_turn_back(out, run, *home, hazards);
    name_cautions(run, out);
    out.steps = step_shares(run);
    out.tightest = sensitivity(run, out);
    if (out.open.empty() || out.windows.empty())
        out.opening = opening(run, out);
    out.reasons = std::move(set.reasons);
    return out;
}

} // namespace dangerline::passage
