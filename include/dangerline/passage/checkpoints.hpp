// What a sounder should read on the way: the cheapest guard against a wrong datum, day or port.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/hazard/bounds.hpp"
#include "dangerline/passage/check.hpp"

namespace dangerline::passage {

inline constexpr std::size_t most_checkpoints = 5;

/// Water from the surface to the bottom, metres, at one place of the route when the boat gets there.
struct Checkpoint {
    std::size_t place = 0;                          ///< number of the place in the route
    Instant when = Instant::from_unix_seconds(0.0); ///< of no matter behind Timetable::held_to()
    std::optional<double> tide_m{};                 ///< above the datum of the depths there
    std::optional<double> water_m{}; ///< by the bottom between charted depths; nothing where none is laid
    double doubt_m = 0.0;            ///< 95 %, of `water_m`
    /// What the charted range allows, doubts taken in; nothing where an end is not known.
    std::optional<double> least_m{}, most_m{};
    std::string reason{}; ///< why neither is known; empty otherwise
};

/// At most most_checkpoints places of the route, ashore ones left out, spread evenly over it. `bounds` need
/// no surfaces: those of `hazards` tell the bottom.
std::vector<Checkpoint> checkpoints_of(const Track& track, const Timetable& timetable,
                                       const hazard::Hazards& hazards, const hazard::BottomBounds& bounds,
                                       const Conditions& conditions);

} // namespace dangerline::passage
