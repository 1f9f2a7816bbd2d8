// Departures that meet rough water in force, by the streams of a voyage: the same rule as Judge's.
#include <algorithm>
#include <array>
#include <cmath>

#include "dangerline/base/quantities.hpp"
#include "dangerline/hazard/rough_water.hpp"
#include "dangerline/sea/stream.hpp"
#include "passage/season_run.hpp"

namespace dangerline::passage {

namespace {

using hazard::Grade;

/// Rates at which the rule for rough water may change its mind.
constexpr std::array<double, 4> turning_rates_kn{0.0, 1.0, 2.0, 3.0};

/// The least of these rates at which the grade is danger; nothing: at none.
std::optional<double> danger_from(int category, hazard::WaterState sea, bool against) {
    if (sea.wind_mps && !against)
        sea.wind_mps = 0.0;
    for (const double kn : turning_rates_kn) {
        sea.rate_mps = kn * mps_per_knot;
        if (hazard::rough_water_grade(category, sea) == Grade::danger)
            return sea.rate_mps;
    }
    return std::nullopt;
}

/// Streams of one piece of the path over time: linear from node to node.
class PieceStreams {
  public:
    PieceStreams(const Voyage& voyage, double s, const Interval& times) {
        const double first = std::floor(times.from.unix_seconds() / stream_node_s) * stream_node_s;
        for (double t = first; t < times.to.unix_seconds(); t += stream_node_s) {
            Run run{Instant::from_unix_seconds(t), {}, {}};
            // At a node itself a stream may be unknown because of what comes after it.
            const auto a = voyage.stream(s, run.at + stream_node_s / 4.0);
            const auto b = voyage.stream(s, run.at + stream_node_s * 3.0 / 4.0);
            if (a && b) {
                run.begin = between(*a, *b, -0.5);
                run.end = between(*a, *b, 1.5);
            }
            runs_.push_back(run);
        }
    }

    TimeSet unknown() const {
        return where([](const sea::Stream*) { return std::optional<double>(); }, true);
    }
    TimeSet at_least(double rate_mps) const {
        return where([rate_mps](const sea::Stream* s) { return std::optional(s->rate_mps() - rate_mps); },
                     false);
    }
    /// Set against wind from there: more than a right angle off where the wind blows to.
    TimeSet against(double wind_from_deg) const {
        const auto wind = sea::stream_of(wind_from_deg, 1.0);
        return where(
            [wind](const sea::Stream* s) {
                return std::optional(s->east_mps * wind.east_mps + s->north_mps * wind.north_mps);
            },
            false);
    }

  private:
    struct Run {
        Instant at;
        std::optional<sea::Stream> begin, end;
    };

    static sea::Stream between(const sea::Stream& a, const sea::Stream& b, double u) {
        return {a.east_mps + u * (b.east_mps - a.east_mps), a.north_mps + u * (b.north_mps - a.north_mps)};
    }

    /// Where `over` is 0 or more; with `missing` where no stream is known.
    template <typename Over>
    TimeSet where(const Over& over, bool missing) const {
        std::vector<Interval> out;
        for (const Run& run : runs_) {
            if (!run.begin) {
                if (missing)
                    out.push_back({run.at, run.at + stream_node_s});
                continue;
            }
            if (missing)
                continue;
            const auto holds = [&](double u) {
                const auto s = between(*run.begin, *run.end, u);
                return *over(&s) >= 0.0;
            };
            const sea::Stream change{run.end->east_mps - run.begin->east_mps,
                                     run.end->north_mps - run.begin->north_mps};
            const double size = change.rate_mps() * change.rate_mps();
            const double along =
                run.begin->east_mps * change.east_mps + run.begin->north_mps * change.north_mps;
            const double weakest = size > 0.0 ? std::clamp(-along / size, 0.0, 1.0) : 0.0;
            add(holds, weakest, run.at, stream_node_s, out);
        }
        return TimeSet::of_any(std::move(out));
    }

    /// Rates are convex, components linear: what holds at neither end holds nowhere between.
    template <typename Holds>
    static void add(const Holds& holds, double weakest, Instant from, double length_s,
                    std::vector<Interval>& out) {
        const bool first = holds(0.0), last = holds(1.0);
        if (!first && !last)
            return;
        // From each end as far as it holds; both may meet.
        const auto edge = [&](double yes, double no) {
            for (int i = 0; i < 40; ++i) {
                const double middle = 0.5 * (yes + no);
                (holds(middle) ? yes : no) = middle;
            }
            return yes;
        };
        const auto part = [&](double u0, double u1) {
            out.push_back({from + u0 * length_s, from + u1 * length_s});
        };
        if (first && last && holds(weakest)) {
            part(0.0, 1.0);
            return;
        }
        const double dip = first && last ? weakest : first ? 1.0 : 0.0;
        if (first)
            part(0.0, edge(0.0, dip));
        if (last)
            part(edge(1.0, dip), 1.0);
    }

    std::vector<Run> runs_;
};

TimeSet departures_for(const Mapper& mapper, const geo::Span& span, const Interval& times,
                       const std::function<TimeSet(const PieceStreams&)>& when) {
    std::vector<Interval> all;
    const auto& cuts = mapper.voyage().cuts();
    for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
        if (cuts[i + 1] < span.from || cuts[i] > span.to)
            continue;
        const geo::Span part{std::max(span.from, cuts[i]), std::min(span.to, cuts[i + 1])};
        const PieceStreams streams(mapper.voyage(), (cuts[i] + cuts[i + 1]) / 2.0, times);
        mapper.map(part, when(streams), all);
    }
    return TimeSet::of_any(std::move(all));
}

TimeSet dangerous(const Mapper& mapper, const RoughWater& rough, const Conditions& conditions,
                  const Interval& times) {
    const bool stated = hazard::rough_water_grade(rough.category, conditions.sea) == Grade::danger;
    const TimeSet all(mapper.departures());
    if (!mapper.voyage().has_streams())
        return stated ? all : TimeSet();
    const auto of = [&](const auto& when) { return departures_for(mapper, rough.span, times, when); };
    const auto reaching = [&](std::optional<double> rate_mps) {
        return !rate_mps ? TimeSet() : of([&](const PieceStreams& s) { return s.at_least(*rate_mps); });
    };
    TimeSet against = all;
    if (conditions.wind_from_deg)
        against = of([&](const PieceStreams& s) { return s.against(*conditions.wind_from_deg); });
    const TimeSet blind = of([](const PieceStreams& s) { return s.unknown(); });
    const TimeSet known = reaching(danger_from(rough.category, conditions.sea, true))
                              .common(against)
                              .united(reaching(danger_from(rough.category, conditions.sea, false)))
                              .without(blind);
    return stated ? known.united(blind) : known;
}

} // namespace

std::vector<Condition> rough_conditions(const std::vector<RoughWater>& rough, const Mapper& mapper,
                                        const Conditions& conditions, const Interval& times) {
    std::vector<Condition> out;
    for (const auto& one : rough) {
        TimeSet closed = dangerous(mapper, one, conditions, times);
        if (closed.empty())
            continue;
        Condition& c = out.emplace_back();
        c.when = Condition::When::departures;
        c.span = one.span;
        c.during = std::make_shared<const TimeSet>(std::move(closed));
        c.reason = one.reason;
        c.landing = one.landing;
        c.hazard = one.hazard;
        c.step = one.step;
        c.of_hazard = true;
    }
    return out;
}

} // namespace dangerline::passage
