// Random shapes and legs for the tests of this room, and GEOS as the other way to the same answer.
#pragma once

#include <cmath>
#include <memory>
#include <random>
#include <vector>

#include <geos_c.h>

#include "dangerline/geo/reach.hpp"

namespace scenes {

using dangerline::geo::Leg;
using dangerline::geo::Point;
using dangerline::geo::Shape;

/// Corners lie on whole multiples of `grid` metres, so that legs meet corners and run along edges often.
class Random {
  public:
    Random(unsigned seed, double extent, double grid) : engine_(seed), extent_(extent), grid_(grid) {}
    double unit() { return std::uniform_real_distribution<double>(0.0, 1.0)(engine_); }
    int below(int n) { return std::uniform_int_distribution<int>(0, n - 1)(engine_); }
    Point snapped(Point p) const {
        return grid_ > 0.0 ? Point{std::round(p.x / grid_) * grid_, std::round(p.y / grid_) * grid_} : p;
    }
    Point point() { return snapped({(2 * unit() - 1) * extent_, (2 * unit() - 1) * extent_}); }
    std::vector<Point> chain(int count) {
        std::vector<Point> points;
        for (int i = 0; i < count; ++i)
            points.push_back(point());
        return points;
    }
    /// A star-shaped ring: simple, whatever the radii. Not snapped, or it might cross itself.
    std::vector<Point> star(Point centre, double least, double most, int corners) {
        std::vector<Point> ring;
        for (int i = 0; i < corners; ++i) {
            const double angle = 2 * M_PI * (i + 0.8 * unit()) / corners;
            const double r = least + (most - least) * unit();
            ring.push_back({centre.x + r * std::cos(angle), centre.y + r * std::sin(angle)});
        }
        return ring;
    }

  private:
    std::mt19937_64 engine_;
    double extent_, grid_;
};

inline GEOSContextHandle_t geos() {
    static const std::unique_ptr<std::remove_pointer_t<GEOSContextHandle_t>, void (*)(GEOSContextHandle_t)>
        context(GEOS_init_r(), GEOS_finish_r);
    return context.get();
}

struct Destroy {
    void operator()(GEOSGeometry* g) const { GEOSGeom_destroy_r(geos(), g); }
};
using Geometry = std::unique_ptr<GEOSGeometry, Destroy>;

inline GEOSCoordSequence* sequence(std::span<const Point> points) {
    auto* s = GEOSCoordSeq_create_r(geos(), static_cast<unsigned>(points.size()), 2);
    for (unsigned i = 0; i < points.size(); ++i)
        GEOSCoordSeq_setXY_r(geos(), s, i, points[i].x, points[i].y);
    return s;
}

inline Geometry line(std::span<const Point> points) {
    if (points.size() == 1)
        return Geometry(GEOSGeom_createPointFromXY_r(geos(), points[0].x, points[0].y));
    return Geometry(GEOSGeom_createLineString_r(geos(), sequence(points)));
}

/// An area whose first part is the outer ring, or a collection of points or lines.
inline Geometry geometry(const Shape& shape) {
    std::vector<GEOSGeometry*> parts;
    for (std::size_t i = 0; i < shape.part_count(); ++i)
        parts.push_back(shape.kind() == dangerline::geo::ShapeKind::area
                            ? GEOSGeom_createLinearRing_r(geos(), sequence(shape.part(i)))
                            : line(shape.part(i)).release());
    const auto count = static_cast<unsigned>(parts.size());
    if (shape.kind() == dangerline::geo::ShapeKind::area)
        return Geometry(GEOSGeom_createPolygon_r(geos(), parts[0], parts.data() + 1, count - 1));
    return Geometry(GEOSGeom_createCollection_r(geos(), GEOS_GEOMETRYCOLLECTION, parts.data(), count));
}

} // namespace scenes
