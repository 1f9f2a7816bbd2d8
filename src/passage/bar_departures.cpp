// Departures that meet a bar nobody sounded for a year where no run tells of it at that tide: the same rule
// as TriedAlong's.
#include <algorithm>
#include <set>

#include "passage/season_run.hpp"

namespace dangerline::passage {

namespace {

/// Shorter pieces of a path are none: ends of contacts come out of different computations.
constexpr double same_m = 1e-6;

/// What a bar is asked for.
struct Question {
    const Mapper& mapper;
    SeasonTides& tides;
    double margin_s, lower_m;
    Reading reading; ///< charted: as check() asks, the tide at its word and the boat's clock in doubt
};

/// Departures that meet on the span a tide under the level; all of them where no tide is known above that
/// datum.
TimeSet too_low(const TidePart& part, const Question& ask) {
    const auto& [mapper, tides, margin_s, lower_m, reading] = ask;
    std::vector<Interval> out;
    bool met = false;
    for (std::size_t r = 0; r < tides.reaches().size(); ++r) {
        const auto& reach = tides.reaches()[r];
        if (reach.to_m < part.span.from || reach.from_m > part.span.to)
            continue;
        met = true;
        if (!tides.linked(r, part.datum))
            return TimeSet(mapper.departures());
        const auto& low = tides.below(tides.source(r, part.datum), part.level_m - lower_m, reading);
        mapper.map({std::max(part.span.from, reach.from_m), std::min(part.span.to, reach.to_m)},
                   reading == Reading::margin ? low : low.grown(margin_s, margin_s), out);
    }
    return met ? TimeSet::of_any(std::move(out)) : TimeSet(mapper.departures());
}

/// Whoever meets a stream of which only a bound is known is on the bar at no sure time.
TimeSet out_of_time(const Mapper& mapper, const geo::Span& bar) {
    std::vector<Interval> out;
    for (const auto& spell : mapper.voyage().not_held())
        if (spell.bounded && spell.span.from < bar.to)
            out.push_back({std::max(mapper.voyage().departure_reaching(spell.span.to, spell.from),
                                    mapper.departures().from),
                           std::min(mapper.voyage().departure_leaving(spell.span.from, spell.to),
                                    mapper.departures().to)});
    return TimeSet::of_any(std::move(out));
}

TimeSet untold(const TriedBar& bar, const Question& ask) {
    std::set<double> cuts{bar.condition.span.from, bar.condition.span.to};
    std::vector<TimeSet> low;
    for (const auto& part : bar.parts) {
        cuts.insert(part.span.from);
        cuts.insert(part.span.to);
        low.push_back(too_low(part, ask));
    }
    TimeSet out = out_of_time(ask.mapper, bar.condition.span);
    for (auto a = cuts.begin(), b = std::next(a); b != cuts.end(); ++a, ++b) {
        if (*b - *a < same_m)
            continue;
        TimeSet here(ask.mapper.departures()); // of the runs along this piece one is enough
        for (std::size_t i = 0; i < low.size(); ++i)
            if (bar.parts[i].span.from <= *a && bar.parts[i].span.to >= *b)
                here = here.common(low[i]);
        out = out.united(here);
    }
    return out;
}

} // namespace

void close_bars(const std::vector<TriedBar>& bars, const Mapper& mapper, SeasonTides& tides, double margin_s,
                double lower_m, std::vector<Condition>& own) {
    std::erase_if(own, [&](const Condition& c) {
        return std::any_of(bars.begin(), bars.end(),
                           [&](const TriedBar& bar) { return bar.condition.reason == c.reason; });
    });
    for (const auto& bar : bars)
        for (const Reading reading : {Reading::charted, Reading::margin}) {
            TimeSet closed = untold(bar, {mapper, tides, margin_s, lower_m, reading});
            if (closed.empty())
                continue;
            Condition& c = own.emplace_back(bar.condition);
            c.when = Condition::When::departures;
            c.charted = c.charted && reading == Reading::charted;
            c.during = std::make_shared<const TimeSet>(std::move(closed));
        }
}

} // namespace dangerline::passage
