// Heights where several stations count.
#include <algorithm>
#include <cmath>

#include "dangerline/tide/stations.hpp"

namespace dangerline::tide {

namespace {

constexpr double look_every_s = 600.0;

/// `sign` -1: the lowest, +1: the highest.
std::optional<TideThere> furthest_there(const std::vector<Station>& stations, const Choice& choice,
                                        int chart_code, Instant from, Instant to, double sign) {
    std::optional<TideThere> best;
    bool doubtful = false;
    for (const std::size_t i : choice.stations) {
        const Station& station = stations.at(i);
        const Curve& curve = station.prediction.curve;
        const auto offset = station.datums.offset_to(chart_code);
        const auto extreme = sign < 0.0 ? curve.lowest(from, to) : curve.highest(from, to);
        if (!offset || !extreme)
            return std::nullopt; // what one of them may be is not known
        doubtful = doubtful || is_doubtful(station.prediction, from, to);
        const double metres = extreme->height.metres() + *offset;
        if (!best || sign * metres > sign * best->height.metres())
            best = TideThere{extreme->at, TideHeight::from_metres(metres),
                             curve.rate(extreme->at).value_or(0.0), i, false};
    }
    if (best)
        best->doubtful_shape = doubtful;
    return best;
}

std::optional<StationStep> largest_step(const std::vector<Station>& stations, const StationReach& before,
                                        const StationReach& after, int chart_code, Instant from, Instant to) {
    StationStep step{.at_m = after.from_m, .before = before.choice.stations, .after = after.choice.stations};
    const double count = std::max(1.0, std::ceil((to - from) / look_every_s));
    for (double k = 0.0; k <= count; k += 1.0) {
        const Instant t = from + (to - from) * (k / count);
        const auto a = lowest_there(stations, before.choice, chart_code, t, t);
        const auto b = lowest_there(stations, after.choice, chart_code, t, t);
        if (!a || !b)
            continue; // reported as unknown elsewhere
        const double change = b->height.metres() - a->height.metres();
        if (std::abs(change) > std::abs(step.step_m)) {
            step.step_m = change;
            step.when = t;
        }
    }
    return std::abs(step.step_m) > reported_step_m ? std::optional(step) : std::nullopt;
}

} // namespace

std::optional<TideThere> lowest_there(const std::vector<Station>& stations, const Choice& choice,
                                      int chart_code, Instant from, Instant to) {
    return furthest_there(stations, choice, chart_code, from, to, -1.0);
}

std::optional<TideThere> highest_there(const std::vector<Station>& stations, const Choice& choice,
                                       int chart_code, Instant from, Instant to) {
    return furthest_there(stations, choice, chart_code, from, to, 1.0);
}

std::vector<TimeSpan> unknown_there(const std::vector<Station>& stations, const Choice& choice, Instant from,
                                    Instant to) {
    std::vector<TimeSpan> all;
    for (const std::size_t i : choice.stations) {
        const auto gaps = stations.at(i).prediction.curve.unknown(from, to);
        all.insert(all.end(), gaps.begin(), gaps.end());
    }
    std::sort(all.begin(), all.end(), [](const TimeSpan& a, const TimeSpan& b) { return a.from < b.from; });
    std::vector<TimeSpan> joined;
    for (const TimeSpan& gap : all)
        if (!joined.empty() && gap.from <= joined.back().to)
            joined.back().to = std::max(joined.back().to, gap.to);
        else
            joined.push_back(gap);
    return joined;
}

std::vector<StationStep> steps_along(const std::vector<Station>& stations,
                                     const std::vector<StationReach>& reaches, int chart_code, Instant from,
                                     Instant to) {
    std::vector<StationStep> steps;
    for (std::size_t i = 1; i < reaches.size(); ++i)
        if (reaches[i - 1].choice.stations != reaches[i].choice.stations)
            if (const auto step = largest_step(stations, reaches[i - 1], reaches[i], chart_code, from, to))
                steps.push_back(*step);
    return steps;
}

} // namespace dangerline::tide
