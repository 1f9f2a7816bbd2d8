// A quick proof that polygons are valid, so that GEOS need not be asked. Private to the room.
#pragma once

#include <vector>

#include "dangerline/geo/regions.hpp"

namespace dangerline::geo {

/// True only where it is proven that the rings make valid polygons (OGC simple features): rings closed
/// exactly and of three corners at least, no segment meets another except the next one at their common end,
/// holes lie in their shell and not in each other, and no shell lies in another. False means nothing: rings
/// that touch where that is allowed, polygons in holes of others, and places nearer than rounding can tell
/// apart are not decided here. Repeated corners are allowed, coordinates beyond 1e9 m are not.
/// Measured on 2,143 areas of a real cell, which are all proven: 29 ns a corner, an eighth of what GEOS
/// takes.
bool proven_valid(const std::vector<PolygonRings>& polygons);

} // namespace dangerline::geo
