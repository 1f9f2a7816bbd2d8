// Vertical quantities. Signs are where such programs kill, so depth, tide height and water are different
// types and only depth + tide height gives water.
#pragma once

#include <compare>
#include <limits>

namespace dangerline {

/// Charted depth: metres below the sounding datum of the cell, positive down. A drying height is a negative
/// depth. -infinity stands for a height nobody knows (no tide covers it enough).
class Depth {
  public:
    static constexpr Depth from_metres(double metres) { return Depth(metres); }
    /// International foot of 0.3048 m, exact.
    static constexpr Depth from_feet(double feet) { return Depth(feet * 0.3048); }
    static constexpr Depth never_covered() { return Depth(-std::numeric_limits<double>::infinity()); }
    constexpr double metres() const { return metres_; }
    constexpr auto operator<=>(const Depth&) const = default;

  private:
    constexpr explicit Depth(double metres) : metres_(metres) {}
    double metres_;
};

/// Height of sea level in metres above the sounding datum of the cell in question; may be negative and is
/// never clamped.
class TideHeight {
  public:
    static constexpr TideHeight from_metres(double metres) { return TideHeight(metres); }
    static constexpr TideHeight infinite() { return TideHeight(std::numeric_limits<double>::infinity()); }
    constexpr double metres() const { return metres_; }
    constexpr auto operator<=>(const TideHeight&) const = default;

  private:
    constexpr explicit TideHeight(double metres) : metres_(metres) {}
    double metres_;
};

/// Water between surface and bottom in metres; also what a boat requires of it.
class Water {
  public:
    static constexpr Water from_metres(double metres) { return Water(metres); }
    constexpr double metres() const { return metres_; }
    constexpr auto operator<=>(const Water&) const = default;

  private:
    constexpr explicit Water(double metres) : metres_(metres) {}
    double metres_;
};

constexpr Water operator+(Depth depth, TideHeight tide) {
    return Water::from_metres(depth.metres() + tide.metres());
}

/// The tide height below which `depth` is a danger to a boat that needs `required` water: required - depth.
/// +infinity where the depth is Depth::never_covered().
constexpr TideHeight critical_tide(Water required, Depth depth) {
    return TideHeight::from_metres(required.metres() - depth.metres());
}

/// One international nautical mile in metres (First International Extraordinary Hydrographic Conference
/// 1929).
inline constexpr double metres_per_nautical_mile = 1852.0;
inline constexpr double mps_per_knot = metres_per_nautical_mile / 3600.0;

} // namespace dangerline
