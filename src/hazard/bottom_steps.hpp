// Steps of a bank: from the depth surface where there is one. Private to the room.
#pragma once

#include <functional>
#include <vector>

#include "dangerline/chart/feature.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/seabed/surface.hpp"

namespace dangerline::hazard {

struct BottomSteps {
    const seabed::Surface& surface;
    geo::Box window;                                 ///< the surface ends there
    seabed::Decimetres from = 0, to = 0;             ///< levels wanted, both included
    double dense_m = 0.0;                            ///< longest triangle side that may decide a caution
    std::function<bool(geo::Point)> poorly_surveyed; ///< or moving: DRVAL1 decides cautions there
};

/// The steps of a depth area with its surface put in: one danger step for each decimetre of `from` to `to`
/// that the area has, each with the shoal end of its decimetre as its depth, and the deepest end of the range
/// as before. The caution step of the shoalest end stays where the surface is sparse, poorly surveyed or not
/// made.
std::vector<Step> with_surface(std::vector<Step> steps, const chart::Feature& area,
                               const BottomSteps& bottom);

} // namespace dangerline::hazard
