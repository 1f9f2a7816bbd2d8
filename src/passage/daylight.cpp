#include "passage/daylight.hpp"

#include <cmath>

#include "dangerline/base/quantities.hpp"
#include "dangerline/sea/sun.hpp"

namespace dangerline::passage {

namespace {

constexpr double one_light_m = 5.0 * metres_per_nautical_mile;
/// No place that shares a light has the Sun lower by more: half the distance, in degrees.
constexpr double farthest_deg = 2.5 / 60.0;

} // namespace

long light_number(double s) {
    return std::lround(s / one_light_m);
}

TimeSet dark_beside(const Track& track, double s, const Interval& times) {
    const double middle = static_cast<double>(light_number(s)) * one_light_m;
    return sea::sun_above(track.position_at(std::min(middle, track.length())),
                          sea::civil_twilight_altitude_deg + farthest_deg, times.from, times.to)
        .complement(times);
}

} // namespace dangerline::passage
