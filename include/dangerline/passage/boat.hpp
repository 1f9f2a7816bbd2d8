// The boat and the water it requires.
#pragma once

#include <optional>
#include <string>

#include "dangerline/base/quantities.hpp"

namespace dangerline::passage {

struct Boat {
    std::string name;
    double draught_m = 0.0; ///< static, leg down
    double squat_m = 0.3;   ///< of the hump (an assumption of this project)
    double speed_mps = 0.0; ///< over the ground while stream is not considered
    std::optional<double> air_draught_m;
    double overhead_margin_m = 0.5; ///< kept under bridges and cables (an assumption of this project)
};

/// What is kept under the keel besides draught and squat.
struct Margins {
    double under_keel_m = 1.0;     ///< 0.5 in sheltered water, 1.0 in open (assumptions of this project)
    double wave_allowance_m = 0.5; ///< 1.0 × significant wave height; 0.5 m where no waves are given
    bool waves_given = false;
};

/// draught + squat + under-keel margin + wave allowance.
Water required_water(const Boat& boat, const Margins& margins);

} // namespace dangerline::passage
