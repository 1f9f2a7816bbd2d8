// Sunrise, sunset and civil twilight.
#pragma once

#include <optional>
#include <vector>

#include "dangerline/base/time_set.hpp"
#include "dangerline/geo/position.hpp"

namespace dangerline::sea {

/// Altitude of the Sun's centre at sunrise and sunset at sea level: 34' of refraction and 16' of semidiameter
/// below the horizon (Almanac for Computers 1990, U.S. Naval Observatory).
inline constexpr double sunrise_altitude_deg = -50.0 / 60.0;
/// Civil twilight: the horizon at sea can still be made out (same source).
inline constexpr double civil_twilight_altitude_deg = -6.0;

/// Altitude of the Sun's centre, radians, without refraction. Low-precision theory of Meeus, Astronomical
/// Algorithms (2nd edition), chapters 12, 22, 25: within 0.01° between 1950 and 2050. Terrestrial time by the
/// polynomial of Espenak and Meeus for 2005 to 2050 (from memory; 10 s of it move the Sun by 0.0001°).
double sun_altitude_rad(const geo::Position& place, Instant t);

struct SunCrossing {
    Instant at = Instant::from_unix_seconds(0.0);
    bool rising = true;
};

/// Every passage of the Sun's centre through an altitude in [from, to], ascending. Within 5 s below 60° of
/// latitude, 30 s up to 71° and a minute at 80° of published tables, but for a Sun that grazes the altitude.
/// Any latitude, the poles too. Empty where the Sun stays above, or stays below, or from > to.
std::vector<SunCrossing> sun_crossings(const geo::Position& place, double altitude_deg, Instant from,
                                       Instant to);

/// The part of [from, to) in which the Sun's centre is above an altitude.
TimeSet sun_above(const geo::Position& place, double altitude_deg, Instant from, Instant to);

/// What the Sun does in a span of time, as a rule one day.
struct SunDay {
    enum class Kind { rises_and_sets, rises_only, sets_only, up, down };
    Kind kind = Kind::down;
    std::optional<Instant> rise{}, set{}; ///< the first of each
};
SunDay sun_day(const geo::Position& place, double altitude_deg, Instant from, Instant to);

} // namespace dangerline::sea
