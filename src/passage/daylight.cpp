#include "passage/daylight.hpp"

#include <cmath>

#include "dangerline/base/parallel.hpp"
#include "dangerline/base/quantities.hpp"
#include "dangerline/sea/sun.hpp"

namespace dangerline::passage {

namespace {

constexpr double one_light_m = 5.0 * metres_per_nautical_mile;
/// No place that shares a light has the Sun lower by more: half the distance, in degrees.
constexpr double farthest_deg = 2.5 / 60.0;

/// Places with one number have one light.
long light_number(double s) {
    return std::lround(s / one_light_m);
}

} // namespace

TimeSet dark_beside(const Track& track, double s, const Interval& times) {
    const double middle = static_cast<double>(light_number(s)) * one_light_m;
    return sea::sun_above(track.position_at(std::min(middle, track.length())),
                          sea::civil_twilight_altitude_deg + farthest_deg, times.from, times.to)
        .complement(times);
}

Dark::Dark(const Track& track, const std::vector<double>& places, const Interval& times, double margin_s) {
    std::vector<double> one_each;
    for (const double s : places)
        if (of_light_.emplace(light_number(s), nullptr).second)
            one_each.push_back(s);
    std::vector<TimeSet> made(one_each.size());
    parallel_for(
        made.size(),
        [&](std::size_t i) { made[i] = dark_beside(track, one_each[i], times).grown(margin_s, margin_s); }, 0,
        1);
    for (std::size_t i = 0; i < made.size(); ++i)
        of_light_[light_number(one_each[i])] = std::make_shared<const TimeSet>(std::move(made[i]));
}

const std::shared_ptr<const TimeSet>& Dark::beside(double s) const {
    return of_light_.at(light_number(s));
}

} // namespace dangerline::passage
