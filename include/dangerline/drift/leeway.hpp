// How fast wind pushes a disabled boat through the water.
#pragma once

#include <optional>
#include <span>
#include <string_view>

namespace dangerline::drift {

/// Side the drift of a boat falls off to when the published table gives none (assumption of this project).
inline constexpr double default_divergence_deg = 15.0;

/// Leeway: movement through the water caused by wind on what stands above it, waves included. Wind is that at
/// 10 m height. Direction: straight before the wind, or `divergence_deg` to one side of it; right of it is
/// positive.
struct Leeway {
    double share = 0.0;          ///< of the wind's speed
    double offset_mps = 0.0;     ///< added to it; the sum is never below 0, and no wind gives no leeway
    double divergence_deg = 0.0; ///< to either side
    /// Metres a second through the water for a wind of `wind_mps` (at 10 m, 0 or more).
    double speed(double wind_mps) const;
};

/// One kind of boat in plain words.
struct LeewayRow {
    std::string_view name;   ///< as a plan gives it
    std::string_view tested; ///< what was measured
    Leeway leeway;
    std::string_view source; ///< where the figure stands; "from memory" where it was not read there
};

/// All kinds a plan may name.
std::span<const LeewayRow> leeway_rows();
/// The row of that name; nothing for any other.
std::optional<LeewayRow> leeway_row(std::string_view name);

/// A boat of 5 to 6 m that a plan says nothing of drifts like a laden or like a nearly empty one: both are
/// run and the shorter time is reported.
inline constexpr std::string_view slow_default = "open boat";
inline constexpr std::string_view fast_default = "light open boat";
inline constexpr std::string_view swamped_default = "swamped open boat";

} // namespace dangerline::drift
