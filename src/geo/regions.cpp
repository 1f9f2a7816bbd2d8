#include "dangerline/geo/regions.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include <GeographicLib/PolygonArea.hpp>

#include "geos.hpp"

namespace dangerline::geo {

namespace {

Geos::Geometry area_geometry(const Geos& geos, const Shape& area) {
    return geos.valid_area(polygons_of(area));
}

Geos::Geometry lines_geometry(const Geos& geos, const Shape& shape) {
    std::vector<Geos::Geometry> parts;
    for (std::size_t i = 0; i < shape.part_count(); ++i)
        parts.push_back(geos.line(shape.part(i)));
    return geos.collect(std::move(parts), GEOS_GEOMETRYCOLLECTION);
}

} // namespace

std::vector<PolygonRings> grown(const Shape& shape, double radius) {
    if (shape.empty())
        return {};
    const Geos geos;
    constexpr double half_step = std::numbers::pi / (4.0 * buffer_segments_per_quadrant);
    const double wide = (radius + 0.02) / std::cos(half_step);
    const auto buffer = [&](const Geos::Geometry& geometry) {
        return geos.own(GEOSBuffer_r(geos.handle(), geometry.get(), wide, buffer_segments_per_quadrant),
                        "growing a shape");
    };
    if (shape.kind() != ShapeKind::area)
        return geos.rings(buffer(lines_geometry(geos, shape)).get());
    const auto rings = polygons_of(shape);
    std::vector<Geos::Geometry> parts;
    parts.push_back(buffer(geos.valid_area(rings)));
    // Rings that bound nothing, and parts of invalid ones that mending drops, are reached all the same.
    std::size_t used = 0;
    for (const auto& polygon : rings)
        used += polygon.size();
    if (used != shape.part_count() || !geos.valid(geos.polygons(rings).get()))
        parts.push_back(buffer(lines_geometry(geos, shape)));
    if (parts.size() == 1)
        return geos.rings(parts.front().get());
    return geos.rings(geos.united(geos.collect(std::move(parts), GEOS_GEOMETRYCOLLECTION).get()).get());
}

std::vector<PolygonRings> united(const std::vector<const Shape*>& areas) {
    const Geos geos;
    std::vector<Geos::Geometry> parts;
    for (const Shape* area : areas)
        if (area->kind() == ShapeKind::area && !area->empty())
            parts.push_back(area_geometry(geos, *area));
    if (parts.empty())
        return {};
    return geos.rings(geos.united(geos.collect(std::move(parts), GEOS_GEOMETRYCOLLECTION).get()).get());
}

std::vector<PolygonRings> without(const std::vector<PolygonRings>& a, const std::vector<PolygonRings>& b) {
    const Geos geos;
    const auto left = geos.valid_area(a), right = geos.valid_area(b);
    return geos.rings(
        geos.own(GEOSDifference_r(geos.handle(), left.get(), right.get()), "taking one area from another")
            .get());
}

double area_of(const std::vector<PolygonRings>& polygons) {
    double square_metres = 0.0;
    for (const PolygonRings& rings : polygons)
        for (std::size_t i = 0; i < rings.size(); ++i)
            square_metres += (i == 0 ? 1.0 : -1.0) * std::abs(signed_area(rings[i]));
    return square_metres;
}

Shape to_shape(const std::vector<PolygonRings>& polygons) {
    std::vector<Ring> rings;
    for (const PolygonRings& polygon : polygons)
        rings.insert(rings.end(), polygon.begin(), polygon.end());
    return Shape::of_area(rings);
}

namespace {

template <typename Kind>
std::pair<double, double> measured(const Kind& ellipsoid, const std::vector<Position>& ring) {
    GeographicLib::PolygonAreaT<Kind> polygon(ellipsoid);
    const bool closed = ring.size() > 1 && ring.front() == ring.back();
    for (std::size_t i = 0; i + (closed ? 1 : 0) < ring.size(); ++i)
        polygon.AddPoint(ring[i].lat_deg, ring[i].lon_deg);
    double metres = 0.0, square_metres = 0.0;
    polygon.Compute(false, true, metres, square_metres);
    return {metres, ring.size() < 3 ? 0.0 : std::abs(square_metres)};
}

std::pair<double, double> measured(const std::vector<Position>& ring, Edges edges) {
    return edges == Edges::rhumb ? measured(GeographicLib::Rhumb::WGS84(), ring)
                                 : measured(GeographicLib::Geodesic::WGS84(), ring);
}

} // namespace

double ellipsoid_area(const std::vector<Position>& ring, Edges edges) {
    return measured(ring, edges).second;
}

double ellipsoid_perimeter(const std::vector<Position>& ring, Edges edges) {
    return measured(ring, edges).first;
}

} // namespace dangerline::geo
