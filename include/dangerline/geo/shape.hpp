// Plain shapes in the working plane.
#pragma once

#include <cstdint>
#include <span>
#include <vector>

#include "dangerline/geo/plane.hpp"

namespace dangerline::geo {

struct Box {
    double min_x = 0.0, min_y = 0.0, max_x = 0.0, max_y = 0.0;
    Box grown(double radius) const {
        return {min_x - radius, min_y - radius, max_x + radius, max_y + radius};
    }
    bool meets(const Box& o) const {
        return min_x <= o.max_x && o.min_x <= max_x && min_y <= o.max_y && o.min_y <= max_y;
    }
};

enum class ShapeKind : std::uint8_t { points, lines, area };

/// Points, chains of segments, or an area bounded by rings under the even-odd rule (outer rings, holes and
/// several polygons alike, in any order and winding). Rings are stored closed (last point = first).
/// Runs of up to 64 edges carry a box of their own, so that a leg skips most of a ring of 30,000 vertices.
class Shape {
  public:
    Shape() = default;
    static Shape of_points(std::vector<Point> points);
    /// One chain per element; chains of one point are kept as a point.
    static Shape of_lines(const std::vector<std::vector<Point>>& chains);
    /// Rings that are not closed are closed; rings of fewer than three corners are kept as lines that bound
    /// nothing but still are reached.
    static Shape of_area(const std::vector<std::vector<Point>>& rings);

    ShapeKind kind() const { return kind_; }
    bool empty() const { return points_.empty(); }
    const Box& box() const { return box_; }
    std::size_t part_count() const { return parts_.size(); }
    std::span<const Point> part(std::size_t i) const;
    std::span<const Point> points() const { return points_; }

    /// Whether the point lies inside an area (even-odd); false for points and lines.
    bool contains(Point p) const;
    /// Distance in metres, 0 inside an area; +infinity for an empty shape.
    double distance(Point p) const;

    /// A run of consecutive edges with its bounds; edge i joins points()[i] and points()[i + 1]. A part of
    /// one point is a run with first == last.
    struct Run {
        Box box;
        std::uint32_t first = 0; ///< index of its first point
        std::uint32_t last = 0;  ///< index of its last point
    };
    std::span<const Run> runs() const { return runs_; }

  private:
    void index();
    void deal_into_slabs();
    bool crossed_in(const Run& run, Point p) const;
    ShapeKind kind_ = ShapeKind::points;
    std::vector<Point> points_;
    struct Part {
        std::uint32_t first = 0, last = 0; // [first, last)
    };
    std::vector<Part> parts_;
    std::vector<Run> runs_;
    Box box_;
    /// Of an area of many runs: numbers of those that reach into each of equal slabs from south to north, one
    /// list behind the other; slab i is from slab_first_[i] to slab_first_[i + 1].
    std::vector<std::uint32_t> slab_first_, slab_runs_;
};

} // namespace dangerline::geo
