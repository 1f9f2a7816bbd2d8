// Steps of a bank: from the depth surface where there is one. Private to the room.
#pragma once

#include <functional>
#include <memory>
#include <vector>

#include "dangerline/chart/feature.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/seabed/surface.hpp"

namespace dangerline::hazard {

struct BottomSteps {
    const seabed::Surface& surface;
    const std::vector<geo::Ring>& beyond;            ///< of the area, where the surface has ended
    seabed::Decimetres from = 0, to = 0;             ///< levels wanted, both included
    double dense_m = 0.0;                            ///< longest triangle side that may decide a caution
    std::function<bool(geo::Point)> poorly_surveyed; ///< or moving: DRVAL1 decides cautions there
};

/// What a surface makes of the steps of its depth area.
struct SurfaceSteps {
    std::shared_ptr<const geo::Shape> left_to_the_range; ///< where DRVAL1 goes on to decide cautions
    std::vector<Step> levels;
};

/// One danger step for each decimetre of `from` to `to` that the area has, each with the shoal end of its
/// decimetre as its depth. What is left to the range is where the surface is sparse, poorly surveyed or not
/// made.
SurfaceSteps surface_steps(const BottomSteps& bottom);

/// The steps of a depth area with its surface put in; the deepest end of the range stays as before.
std::vector<Step> with_surface(std::vector<Step> steps, const SurfaceSteps& surface);

} // namespace dangerline::hazard
