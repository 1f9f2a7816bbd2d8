#include "passage/daylight.hpp"

#include <cmath>

#include "dangerline/base/quantities.hpp"
#include "dangerline/sea/sun.hpp"

namespace dangerline::passage {

long light_number(double s) {
    return std::lround(s / metres_per_nautical_mile);
}

TimeSet dark_beside(const Track& track, double s, const Interval& times) {
    const double mile = static_cast<double>(light_number(s)) * metres_per_nautical_mile;
    return sea::sun_above(track.position_at(std::min(mile, track.length())), sea::civil_twilight_altitude_deg,
                          times.from, times.to)
        .complement(times);
}

} // namespace dangerline::passage
