// Triangles over points, with given edges kept.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <utility>
#include <vector>

#include "dangerline/geo/shape.hpp"

namespace dangerline::geo {

/// Numbers of the points at the ends of an edge.
using PointPair = std::pair<std::uint32_t, std::uint32_t>;

struct Triangulation {
    std::vector<Point> points;                           ///< those given, then those that split edges
    std::vector<std::array<std::uint32_t, 3>> triangles; ///< counter-clockwise
    std::vector<std::size_t> split_edge; ///< of each added point: the number of the given edge
};

/// Delaunay triangles over points that are all different, made to conform: a given edge that is no side of a
/// triangle is halved until its pieces are. The result covers the convex hull but for slivers along its rim.
/// Nothing where edges cross or meet so sharply that halving does not end (12 rounds, or more added than
/// given points and 1000), for fewer than three points and one
/// that is not finite.
std::optional<Triangulation> conforming_triangulation(const std::vector<Point>& points,
                                                      const std::vector<PointPair>& edges);

/// What pieces cover together that have no overlap and share whole sides bit for bit, as one area.
Shape joined(const std::vector<std::vector<Point>>& pieces);

/// The area bounded by these sides, each given once, in any order and direction (even-odd).
Shape area_within(const std::vector<std::pair<Point, Point>>& sides);

} // namespace dangerline::geo
