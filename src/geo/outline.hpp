// The outline of a coverage: what is left when every edge that two tiles share is struck out. Private to the
// room.
#pragma once

#include <optional>
#include <span>
#include <utility>
#include <vector>

#include "dangerline/geo/reach.hpp"
#include "dangerline/geo/regions.hpp"
#include "dangerline/geo/shape.hpp"

namespace dangerline::geo {

/// Edges that occur an odd number of times in the rings of the areas, joined to chains as long as they go
/// without branching. Edges are the same only if their ends are, bit for bit; direction does not matter.
/// Measured on 392,000 edges on a busy machine: 0.2 us an edge here, 4 us by coverage union in GEOS 3.11.
std::vector<std::vector<Point>> outline(std::span<const Shape* const> areas);

/// The same as simple closed rings (last point = first), which may touch one another.
std::vector<std::vector<Point>> outline_rings(std::span<const Shape* const> areas);
/// Sides that bound an area as simple closed rings; of sides given more than once every pair cancels.
std::vector<std::vector<Point>> rings_of(const std::vector<std::pair<Point, Point>>& sides);

/// Edges that only one tile has, outer rings counter-clockwise and holes clockwise; nothing where
/// an edge is had by two tiles in the same direction or by more than two. Where every edge but those along
/// the rim of a cover is passed once each way, the tiles cover every place inside equally often: so an area
/// sum that fits the cover proves that they tile it.
std::optional<std::vector<Leg>> unshared_edges(const std::vector<std::vector<PolygonRings>>& tiles);

} // namespace dangerline::geo
