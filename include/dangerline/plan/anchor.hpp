// What a plan says of the boat as she drifts and lies to an anchor.
#pragma once

#include <optional>
#include <string>

#include "dangerline/drift/anchor.hpp"
#include "dangerline/drift/anchor_ground.hpp"

namespace dangerline::plan {

/// [boat.anchor].
struct AnchorGear {
    drift::Pattern pattern{};
    double weight_kg = 0.0;
    drift::AnchorLine line{};
    std::optional<double> chain_mm{}; ///< always there with chain
    int line_number = 0;              ///< in the plan file, for messages
};

/// Keys of [boat] that passages do not use.
struct Gear {
    std::optional<double> length_m{};     ///< nothing: jobs take drift::default_boat_length_m and say so
    std::optional<double> bow_height_m{}; ///< of the roller above water; always there with an anchor
    std::optional<AnchorGear> anchor{};
    double length_or_default_m() const { return length_m.value_or(drift::default_boat_length_m); }
};

} // namespace dangerline::plan
