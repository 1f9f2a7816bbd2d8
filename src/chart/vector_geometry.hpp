// From geometries of vector sources to those of charts. Private to the room.
#pragma once

#include "dangerline/chart/feature.hpp"

#include "chart/vector_open.hpp"

#include <vector>

namespace dangerline::chart {

/// Points, lines and areas of one geometry, apart: a chart object is one of these.
struct ReadParts {
    std::vector<Geometry> parts; ///< points with their heights Z in depths_m, NaN where they have none
    bool good = true;            ///< false where a part could not be read, was empty or did not close
    bool out_of_range = false;   ///< a place beyond 180 or 90 degrees
    bool swap_would_fit = false; ///< ... which would not be with longitude and latitude exchanged
    bool not_transformed = false;
};
ReadParts read_parts(const OGRGeometry& geometry, const WayToWgs84& way);

} // namespace dangerline::chart
