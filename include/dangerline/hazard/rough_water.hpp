// When overfalls, rips and breakers are in force.
#pragma once

#include <optional>

#include "dangerline/hazard/hazard.hpp"

namespace dangerline::hazard {

/// What is known of stream, wind and swell where a boat meets rough water. Nothing = not stated, which is
/// never taken as calm.
struct WaterState {
    std::optional<double> rate_mps; ///< largest rate of the stream while the boat is there
    std::optional<double> wind_mps; ///< wind against the stream, at 10 m
    std::optional<double> swell_m;  ///< significant height of swell against the stream
};

/// Grade of rough water of that category (CATWAT: 1 breakers, 2 eddies, 3 overfalls, 4 tide rips, 5 bombora;
/// 0 missing = as overfalls, but never better than caution), by the rules of this project: breakers and
/// bombora: danger while charted so; others danger from 3 kn, or from 2 kn with wind of 4 m/s or swell of 0.5
/// m against it or either not stated; otherwise caution from 1 kn; note below; danger where the rate is not
/// known.
Grade rough_water_grade(int catwat, const WaterState& state);

} // namespace dangerline::hazard
