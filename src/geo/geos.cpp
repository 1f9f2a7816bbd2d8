#include "geos.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "dangerline/base/error.hpp"

namespace dangerline::geo {

namespace {

void keep_words(const char* words, void* said) {
    *static_cast<std::string*>(said) = words;
}

} // namespace

Geos::Geos() : context_(GEOS_init_r()) {
    GEOSContext_setErrorMessageHandler_r(context_, keep_words, &said_);
}

Geos::~Geos() {
    GEOS_finish_r(context_);
}

Geos::Geometry Geos::own(GEOSGeometry* raw, const char* doing) const {
    if (!raw)
        throw Failure(Fault::data, {.object = "geometry",
                                    .what = std::string("GEOS gave up ") + doing + ": " + said_,
                                    .remedy = "see whether the areas named before this are drawn sensibly"});
    return Geometry(raw, Destroy{context_});
}

Geos::Geometry Geos::collect(std::vector<Geometry> parts, int type) const {
    std::vector<GEOSGeometry*> raw;
    for (auto& part : parts)
        raw.push_back(part.release());
    return own(GEOSGeom_createCollection_r(context_, type, raw.data(), static_cast<unsigned>(raw.size())),
               "collecting parts");
}

GEOSCoordSequence* Geos::sequence(std::span<const Point> points, bool close) const {
    const bool add = close && !(points.front() == points.back());
    const auto count = static_cast<unsigned>(points.size() + (add ? 1 : 0));
    std::vector<double> flat;
    flat.reserve(2 * std::size_t{count});
    for (const Point& p : points)
        flat.insert(flat.end(), {p.x, p.y});
    if (add)
        flat.insert(flat.end(), {points.front().x, points.front().y});
    return GEOSCoordSeq_copyFromBuffer_r(context_, flat.data(), count, 0, 0);
}

Geos::Geometry Geos::line(std::span<const Point> points) const {
    if (points.size() == 1)
        return own(GEOSGeom_createPointFromXY_r(context_, points[0].x, points[0].y), "making a point");
    return own(GEOSGeom_createLineString_r(context_, sequence(points, false)), "making a line");
}

Geos::Geometry Geos::polygon(const PolygonRings& rings) const {
    std::vector<Geometry> made;
    for (std::size_t i = 0; i < rings.size(); ++i) {
        const Ring& ring = rings[i];
        const bool open = !ring.empty() && !(ring.front() == ring.back());
        if (ring.size() + (open ? 1 : 0) >= 4)
            made.push_back(
                own(GEOSGeom_createLinearRing_r(context_, sequence(ring, true)), "closing a ring"));
        else if (i == 0)
            break;
    }
    if (made.empty())
        return own(GEOSGeom_createEmptyPolygon_r(context_), "making a polygon");
    std::vector<GEOSGeometry*> raw;
    for (auto& ring : made)
        raw.push_back(ring.release());
    return own(
        GEOSGeom_createPolygon_r(context_, raw[0], raw.data() + 1, static_cast<unsigned>(raw.size() - 1)),
        "making a polygon");
}

Geos::Geometry Geos::polygons(const std::vector<PolygonRings>& polygons) const {
    if (polygons.size() == 1)
        return polygon(polygons.front());
    std::vector<Geometry> parts;
    for (const PolygonRings& rings : polygons)
        parts.push_back(polygon(rings));
    return collect(std::move(parts), GEOS_MULTIPOLYGON);
}

Geos::Geometry Geos::made_valid(Geometry area) const {
    if (valid(area.get()))
        return area;
    return own(GEOSMakeValid_r(context_, area.get()), "mending an area");
}

Geos::Geometry Geos::united(const GEOSGeometry* geometry) const {
    return own(GEOSUnaryUnion_r(context_, geometry), "uniting areas");
}

Geos::Geometry Geos::valid_area(const std::vector<PolygonRings>& polygons) const {
    // One by one: made valid together, two polygons that overlap would cancel each other.
    std::vector<Geometry> parts;
    for (const PolygonRings& rings : polygons)
        parts.push_back(made_valid(polygon(rings)));
    if (parts.size() == 1)
        return std::move(parts.front());
    return united(collect(std::move(parts), GEOS_GEOMETRYCOLLECTION).get());
}

double Geos::area(const GEOSGeometry* geometry) const {
    double square_metres = 0.0;
    GEOSArea_r(context_, geometry, &square_metres);
    return square_metres;
}

Ring Geos::ring(const GEOSGeometry* geometry, bool counter_clockwise) const {
    const GEOSCoordSequence* sequence = GEOSGeom_getCoordSeq_r(context_, geometry);
    unsigned count = 0;
    GEOSCoordSeq_getSize_r(context_, sequence, &count);
    std::vector<double> flat(2 * std::size_t{count});
    GEOSCoordSeq_copyToBuffer_r(context_, sequence, flat.data(), 0, 0);
    Ring points(count);
    for (std::size_t i = 0; i < points.size(); ++i)
        points[i] = {flat[2 * i], flat[2 * i + 1]};
    if ((signed_area(points) > 0.0) != counter_clockwise)
        std::reverse(points.begin(), points.end());
    return points;
}

std::vector<PolygonRings> Geos::rings(const GEOSGeometry* geometry) const {
    std::vector<PolygonRings> all;
    const int type = GEOSGeomTypeId_r(context_, geometry);
    if (type == GEOS_POLYGON) {
        if (GEOSisEmpty_r(context_, geometry) == 1)
            return all;
        PolygonRings polygon{ring(GEOSGetExteriorRing_r(context_, geometry), true)};
        for (int i = 0; i < GEOSGetNumInteriorRings_r(context_, geometry); ++i)
            polygon.push_back(ring(GEOSGetInteriorRingN_r(context_, geometry, i), false));
        all.push_back(std::move(polygon));
    } else if (type == GEOS_MULTIPOLYGON || type == GEOS_GEOMETRYCOLLECTION) {
        for (int i = 0; i < GEOSGetNumGeometries_r(context_, geometry); ++i)
            for (auto& polygon : rings(GEOSGetGeometryN_r(context_, geometry, i)))
                all.push_back(std::move(polygon));
    }
    return all;
}

double signed_area(std::span<const Point> ring) {
    // About the first corner, so that far-off coordinates cost no digits.
    double twice = 0.0;
    for (std::size_t i = 1; i + 1 < ring.size(); ++i)
        twice += (ring[i].x - ring[0].x) * (ring[i + 1].y - ring[0].y) -
                 (ring[i + 1].x - ring[0].x) * (ring[i].y - ring[0].y);
    return twice / 2.0;
}

namespace {

struct Nest {
    Shape shape;    ///< the ring alone, as an area
    Shape boundary; ///< and as a line
    double size = 0.0;
    std::vector<std::size_t> around; ///< rings that contain it
};

// Whether ring b lies in ring a. A place where b touches a says nothing, so the next one is asked: corners
// first, then the middles of edges.
bool holds(const Nest& a, const Nest& b) {
    if (!a.shape.box().meets(b.shape.box()))
        return false;
    const auto corners = b.shape.points();
    for (const Point p : corners)
        if (a.boundary.distance(p) > 1e-9)
            return a.shape.contains(p);
    for (std::size_t i = 1; i < corners.size(); ++i) {
        const Point p{(corners[i - 1].x + corners[i].x) / 2.0, (corners[i - 1].y + corners[i].y) / 2.0};
        if (a.boundary.distance(p) > 1e-9)
            return a.shape.contains(p);
    }
    return true;
}

} // namespace

std::vector<PolygonRings> polygons_of(const Shape& area) {
    std::vector<Ring> rings;
    for (std::size_t i = 0; i < area.part_count(); ++i)
        if (const auto part = area.part(i); part.size() > 3)
            rings.emplace_back(part.begin(), part.end());
    if (rings.size() == 1)
        return {std::move(rings)};
    std::vector<Nest> nests;
    for (const Ring& ring : rings)
        nests.push_back({Shape::of_area({ring}), Shape::of_lines({ring}), std::abs(signed_area(ring)), {}});
    for (std::size_t b = 0; b < nests.size(); ++b)
        for (std::size_t a = 0; a < nests.size(); ++a)
            if (a != b && (nests[a].size > nests[b].size || (nests[a].size == nests[b].size && a < b)) &&
                holds(nests[a], nests[b]))
                nests[b].around.push_back(a);
    // An even number of rings around it makes a ring an outer one; a hole belongs to the smallest around it.
    std::vector<PolygonRings> polygons;
    std::vector<std::size_t> polygon_of(nests.size());
    for (std::size_t i = 0; i < nests.size(); ++i)
        if (nests[i].around.size() % 2 == 0) {
            polygon_of[i] = polygons.size();
            polygons.push_back({rings[i]});
        }
    for (std::size_t i = 0; i < nests.size(); ++i)
        if (nests[i].around.size() % 2 == 1) {
            const auto& around = nests[i].around;
            const auto owner = *std::min_element(around.begin(), around.end(), [&](auto a, auto b) {
                return nests[a].around.size() > nests[b].around.size();
            });
            polygons[polygon_of[owner]].push_back(std::move(rings[i]));
        }
    return polygons;
}

} // namespace dangerline::geo
