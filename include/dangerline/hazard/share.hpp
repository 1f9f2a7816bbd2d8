// How much of the charted water would be graded what at one tide height: a grade that is everywhere helps
// nobody.
#pragma once

#include "dangerline/base/quantities.hpp"
#include "dangerline/hazard/hazard.hpp"

namespace dangerline::hazard {

/// Square metres of depth areas, dredged areas and unsurveyed water; land and rocks are not in it.
struct WaterShare {
    double water = 0.0;
    double danger = 0.0; ///< the bottom leaves less than the required water
    double caution =
        0.0; ///< not danger, but within `doubt_m` of it or somewhere in a range that reaches so high
    double unknown = 0.0; ///< unsurveyed, or of unstated depth
};

/// By the bottom alone, without corridor or doubts of position and survey. `tide` above each cell's own
/// sounding datum, `doubt_m` of the tide's height. Uses the surfaces the hazards were built with.
WaterShare share_of_water(const Hazards& hazards, Water required, TideHeight tide, double doubt_m);

} // namespace dangerline::hazard
