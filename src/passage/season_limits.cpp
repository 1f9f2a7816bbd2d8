// What limits a route: shares, what hides what, how little flips it, what would open it.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <set>
#include <string>
#include <tuple>
#include <utility>

#include "dangerline/base/parallel.hpp"
#include "passage/season_run.hpp"

namespace dangerline::passage {

namespace {

using When = Condition::When;

constexpr std::size_t no_hazard = static_cast<std::size_t>(-1);

/// Conditions of one step of one hazard.
struct StepConditions {
    std::size_t hazard = 0, step = 0;
    std::vector<const Condition*> parts;
    geo::Span hull; ///< of the parts
};

geo::Span hull_of(const std::vector<const Condition*>& parts) {
    geo::Span hull = parts.front()->span;
    for (const auto* part : parts)
        hull = {std::min(hull.from, part->span.from), std::max(hull.to, part->span.to)};
    return hull;
}

/// What is no hazard (no tide known, a leg that can't be held) comes together by its words.
std::vector<StepConditions> by_step(const SeasonRun& run) {
    std::map<std::pair<std::size_t, std::size_t>, std::vector<const Condition*>> found;
    std::map<std::string, std::size_t> others;
    for (const std::vector<Condition>* list : {&std::as_const(run.conditions.all), &run.full_own})
        for (const auto& c : *list) {
            if (!c.charted)
                continue;
            const auto& words = run.conditions.reasons[c.reason].what;
            const std::size_t other = c.of_hazard ? 0 : others.emplace(words, others.size()).first->second;
            found[c.of_hazard ? std::pair(c.hazard, c.step) : std::pair(no_hazard, other)].push_back(&c);
        }
    std::vector<StepConditions> out;
    for (auto& [key, parts] : found) {
        const geo::Span hull = hull_of(parts);
        out.push_back({key.first, key.second, std::move(parts), hull});
    }
    return out;
}

bool hides(const Condition& a, const Condition& b) {
    if (a.span.from > b.span.from || a.span.to < b.span.to ||
        (a.landing != every_case && a.landing != b.landing))
        return false;
    return a.when == When::always ||
           (a.when == When::below && b.when == When::below && a.source == b.source && a.level_m >= b.level_m);
}

/// Whether every part of b lies under some part of a.
bool hides(const StepConditions& a, const StepConditions& b) {
    if (a.hull.from > b.hull.from || a.hull.to < b.hull.to)
        return false;
    return std::all_of(b.parts.begin(), b.parts.end(), [&](const Condition* part) {
        return std::any_of(a.parts.begin(), a.parts.end(),
                           [&](const Condition* cover) { return hides(*cover, *part); });
    });
}

/// `times`: of each part.
double share_of(const StepConditions& step, const std::vector<const TimeSet*>& times, const SeasonRun& run) {
    const Interval& asked = run.ask.departures;
    const double whole = asked.length_s();
    if (!(whole > 0.0))
        return 0.0;
    TimeSet closed;
    for (std::size_t i = 0; i < step.parts.size(); ++i)
        closed = closed.united(TimeSet::of_any(run.full.closed_by(*step.parts[i], *times[i])));
    return closed.common(TimeSet(asked)).length_s() / whole;
}

std::vector<double> shares_of(const std::vector<StepConditions>& steps, const SeasonRun& run) {
    // Levels first: they are kept.
    std::vector<const Condition*> all;
    for (const auto& step : steps)
        all.insert(all.end(), step.parts.begin(), step.parts.end());
    prepare_times(all, run.tides, Reading::charted);
    std::vector<std::vector<const TimeSet*>> times(steps.size());
    for (std::size_t i = 0; i < steps.size(); ++i)
        for (const auto* part : steps[i].parts)
            times[i].push_back(&times_of(*part, run.tides, Reading::charted));
    std::vector<double> shares(steps.size());
    parallel_for(
        steps.size(), [&](std::size_t i) { shares[i] = share_of(steps[i], times[i], run); }, 0, 4);
    return shares;
}

/// The part with the most to say: the highest level, then the longest.
const Condition& leading(const StepConditions& step) {
    return **std::max_element(step.parts.begin(), step.parts.end(),
                              [](const Condition* a, const Condition* b) {
                                  return std::pair(a->level_m, a->span.to - a->span.from) <
                                         std::pair(b->level_m, b->span.to - b->span.from);
                              });
}

/// Tide to spare over a condition for a boat that leaves at d, as far as it is known.
std::optional<double> spare_at(const Condition& c, const SeasonRun& run, const Timetable& times) {
    const auto lowest = run.tides.lowest(c.source, times.at(c.span.from), times.leave(c.span.to));
    return lowest ? std::optional(*lowest - c.level_m) : std::nullopt;
}

bool closed_at(const SeasonRun& run, const Voyage& voyage, Instant d) {
    const Interval moment{d, d + 1e-3};
    const Mapper mapper(voyage, run.conditions.landings, moment);
    std::vector<Reason> ignored;
    auto spells = conditions_of(voyage, ignored);
    for (auto& spell : spells)
        spell.reason = no_reason; // its number is one of `ignored`
    close_bars(run.conditions.bars, mapper, run.tides, run.clock_margin_s, 0.0, spells);
    return !closings(run.conditions.visible, mapper, run.tides, Reading::charted).empty() ||
           !closings(spells, mapper, run.tides, Reading::charted).empty();
}

/// The window whose middle has the least tide to spare.
struct Tight {
    Instant departure = Instant::from_unix_seconds(0.0);
    double spare_m = std::numeric_limits<double>::infinity();
    ReasonNumber reason = no_reason;
};

Tight tightest_of(const SeasonRun& run, const Season& season) {
    Tight best;
    for (const auto& w : season.windows) {
        const Instant middle = w.exact.from + 0.5 * w.exact.length_s();
        if (best.reason == no_reason)
            best.departure = middle;
        const Timetable times(run.full.voyage(), middle);
        for (const auto& c : run.conditions.visible) {
            if (c.when != When::below || c.landing != every_case)
                continue;
            const auto spare = spare_at(c, run, times);
            if (spare && *spare < best.spare_m)
                best = {middle, *spare, c.reason};
        }
    }
    return best;
}

/// One for each hazard, cause and tide, on the hull of its spans.
struct Hull {
    Named named;
    bool tellable = false; ///< a run may make a note of it
};

bool may_be_told(const Named& named, const SeasonRun& run) {
    const Condition& c = named.condition;
    return named.line ||
           TriedAlong::may_ease(run.hazards.all[c.hazard], c.step, hazard::Grade::caution, named.cause);
}

bool same_extent(const Condition& a, const Condition& b, const SeasonRun& run) {
    return a.hazard == b.hazard &&
           run.hazards.all[a.hazard].steps[a.step].extent == run.hazards.all[b.hazard].steps[b.step].extent;
}

/// Whether runs make a note of it at these tides.
bool told_of(const Hull& hull, const SeasonRun& run, const LowestTide& lowest) {
    if (!hull.tellable)
        return false;
    const auto& [c, cause, line] = hull.named;
    if (line)
        return without(line->spans, run.tried.proven(*line, run.hazards, lowest).spans).empty();
    const auto& h = run.hazards.all[c.hazard];
    const auto proven = run.tried.proven({c.span}, h.datum, TriedAlong::object_of(h, c.step), lowest);
    return without({c.span}, proven.spans).empty();
}

} // namespace

std::vector<StepShare> step_shares(const SeasonRun& run) {
    const auto steps = by_step(run);
    const auto shares = shares_of(steps, run);
    std::vector<StepShare> out;
    for (const auto& step : steps) {
        const auto number = static_cast<std::size_t>(&step - steps.data());
        StepShare share{leading(step).reason, step.hazard, step.step, shares[number], {}};
        for (const auto& other : steps)
            // Of two that hide each other the first is shown.
            if (&other != &step && hides(other, step) && (&other < &step || !hides(step, other))) {
                share.hidden_by = leading(other).reason;
                break;
            }
        out.push_back(share);
    }
    std::stable_sort(out.begin(), out.end(),
                     [](const StepShare& a, const StepShare& b) { return a.share > b.share; });
    return out;
}

std::optional<Sensitivity> sensitivity(const SeasonRun& run, const Season& season) {
    if (season.windows.empty())
        return std::nullopt;
    const Tight tight = tightest_of(run, season);
    Sensitivity out{.departure = tight.departure, .reason = tight.reason};
    if (tight.reason != no_reason)
        out.tide_m = tight.spare_m;
    if (const auto open = season.open.around(tight.departure)) {
        if (open->to < season.asked.to)
            out.late_s = open->to - tight.departure;
        if (open->from > season.asked.from)
            out.early_s = tight.departure - open->from;
    }
    const Interval day{tight.departure - 1.0, tight.departure + 1.0};
    double works = 1.0, fails = 0.5; // half the speed is another trip
    const auto closed = [&](double share) {
        return closed_at(run, run.voyages(run.track, share, day), tight.departure);
    };
    if (!closed(fails))
        return out;
    while (works - fails > 0.005) {
        const double middle = 0.5 * (works + fails);
        (closed(middle) ? fails : works) = middle;
    }
    out.slower = 1.0 - fails;
    return out;
}

Opening opening(const SeasonRun& run, const Season& season) {
    Opening out;
    std::set<std::pair<std::size_t, std::size_t>> seen;
    for (const auto& c : run.conditions.visible)
        if (c.when == When::always && c.charted && c.landing == every_case &&
            seen.insert({c.hazard, c.step}).second)
            out.always.push_back(c.reason);
    seen.clear();
    for (const auto& step : season.steps)
        if (out.most.size() < 5 && step.share > 0.0 && !step.hidden_by &&
            seen.insert({step.hazard, 0}).second)
            out.most.push_back(step.reason);
    if (!out.always.empty())
        return out;
    const auto opens = [&](int decimetres) {
        const double lower_m = decimetres / 10.0;
        SeasonRun lowered = run;
        close_bars(run.conditions.bars, run.full, run.tides, run.clock_margin_s, lower_m, lowered.full_own);
        close_bars(run.conditions.bars, run.slow, run.tides, run.clock_margin_s, lower_m, lowered.slow_own);
        if (season.open.empty())
            return !set_of(lowered.closed(lower_m)).complement(run.ask.departures).empty();
        return !lowered.offered(lowered.not_offered(lower_m)).at_least(run.ask.robustness.shortest_s).empty();
    };
    int closed = 0, open = 100;
    if (!opens(open))
        return out;
    while (open - closed > 1) {
        const int middle = (open + closed) / 2;
        (opens(middle) ? open : closed) = middle;
    }
    out.metres = open / 10.0;
    return out;
}

void name_cautions(const SeasonRun& run, Season& season) {
    // One for each hazard, cause and tide: its highest level on the hull of its spans.
    std::map<std::tuple<std::size_t, hazard::Cause, std::size_t, int, std::size_t>, Hull> hulls;
    std::size_t lines = every_case / 2; // beyond the number of any hazard
    for (const auto& named : run.conditions.named) {
        const Condition& c = named.condition;
        const std::size_t number = c.of_hazard || named.cause != hazard::Cause::survey ? c.hazard : lines++;
        const auto key = std::tuple(number, named.cause, c.source, static_cast<int>(c.when), c.landing);
        auto [it, fresh] = hulls.emplace(key, Hull{named, may_be_told(named, run)});
        Condition& hull = it->second.named.condition;
        if (!fresh) {
            it->second.tellable = it->second.tellable && may_be_told(named, run) && same_extent(hull, c, run);
            hull.span = {std::min(hull.span.from, c.span.from), std::max(hull.span.to, c.span.to)};
            if (c.level_m > hull.level_m) {
                hull.level_m = c.level_m;
                hull.reason = c.reason;
            }
        }
    }
    for (auto& [key, hull] : hulls) // few levels; named sooner
        hull.named.condition.level_m = std::ceil(hull.named.condition.level_m * 10.0 - 1e-9) / 10.0;
    std::vector<const Condition*> all;
    for (const auto& [key, hull] : hulls)
        all.push_back(&hull.named.condition);
    prepare_times(all, run.tides, Reading::margin);
    std::vector<std::pair<const Hull*, const TimeSet*>> wanted;
    for (const auto& [key, hull] : hulls)
        if (const TimeSet& times = times_of(hull.named.condition, run.tides, Reading::margin); !times.empty())
            wanted.emplace_back(&hull, &times);
    parallel_for(season.windows.size(), [&](std::size_t i) {
        Window& w = season.windows[i];
        // Whoever leaves early, late or slower holds the window too.
        const auto& sure = run.ask.robustness;
        const Timetable soonest(run.full.voyage(), w.when.from - sure.early_s),
            latest(run.slow.voyage(), w.when.to + sure.late_s);
        const LowestTide lowest = [&](const geo::Span& span, int datum) {
            return run.tides.lowest(span, datum, [&](const geo::Span& part) {
                return Interval{soonest.at(part.from) - run.clock_margin_s,
                                latest.leave(part.to) + run.clock_margin_s};
            });
        };
        for (const auto& [hull, times] : wanted) {
            const Condition& c = hull->named.condition;
            const Instant first = soonest.at(c.span.from), last = latest.leave(c.span.to);
            const auto after = times->next(first);
            if ((times->contains(first) || (after && after->from <= last)) && !told_of(*hull, run, lowest))
                w.named.push_back(c.reason);
        }
    });
    for (auto& w : season.windows)
        std::stable_sort(w.named.begin(), w.named.end(), [&](ReasonNumber a, ReasonNumber b) {
            return run.conditions.reasons[a].cause < run.conditions.reasons[b].cause;
        });
}

} // namespace dangerline::passage
