#include "passage/daylight.hpp"

#include <cmath>

#include "dangerline/base/quantities.hpp"
#include "dangerline/sea/sun.hpp"

namespace dangerline::passage {

namespace {

/// Half of it changes twilight by some 15 seconds, a sixtieth of the doubt of the boat's own clock.
constexpr double one_light_m = 5.0 * metres_per_nautical_mile;

} // namespace

long light_number(double s) {
    return std::lround(s / one_light_m);
}

TimeSet dark_beside(const Track& track, double s, const Interval& times) {
    const double middle = static_cast<double>(light_number(s)) * one_light_m;
    return sea::sun_above(track.position_at(std::min(middle, track.length())),
                          sea::civil_twilight_altitude_deg, times.from, times.to)
        .complement(times);
}

} // namespace dangerline::passage
