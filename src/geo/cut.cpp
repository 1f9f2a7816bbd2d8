#include "dangerline/geo/cut.hpp"

#include <cmath>
#include <numbers>

#include "geos.hpp"

namespace dangerline::geo {

namespace {

constexpr double least_piece_m2 = 1e-6;

void add_chains(const Geos& geos, const GEOSGeometry* g, std::vector<std::vector<Point>>& chains) {
    const auto handle = geos.handle();
    if (GEOSGeomTypeId_r(handle, g) == GEOS_LINESTRING) {
        const GEOSCoordSequence* sequence = GEOSGeom_getCoordSeq_r(handle, g);
        unsigned size = 0;
        GEOSCoordSeq_getSize_r(handle, sequence, &size);
        auto& chain = chains.emplace_back();
        for (unsigned i = 0; i < size; ++i) {
            Point p;
            GEOSCoordSeq_getXY_r(handle, sequence, i, &p.x, &p.y);
            chain.push_back(p);
        }
        if (chain.empty())
            chains.pop_back();
        return;
    }
    if (GEOSGeomTypeId_r(handle, g) < GEOS_MULTIPOINT)
        return; // where a line only touches the area
    for (int i = 0; i < GEOSGetNumGeometries_r(handle, g); ++i)
        add_chains(geos, GEOSGetGeometryN_r(handle, g, i), chains);
}

std::shared_ptr<const Shape> shared(Shape shape) {
    return shape.empty() ? nullptr : std::make_shared<const Shape>(std::move(shape));
}

Geos::Geometry lines_of(const Geos& geos, const Shape& shape) {
    std::vector<Geos::Geometry> lines;
    for (std::size_t i = 0; i < shape.part_count(); ++i)
        if (shape.part(i).size() > 1)
            lines.push_back(geos.line(shape.part(i)));
    return geos.collect(std::move(lines), GEOS_MULTILINESTRING);
}

} // namespace

struct Cutter::Implementation {
    Geos geos;
    Shape area;
    Geos::Geometry geometry;
    const GEOSPreparedGeometry* prepared = nullptr;

    explicit Implementation(const std::vector<PolygonRings>& polygons)
        : area(to_shape(polygons)), geometry(geos.valid_area(polygons)) {
        prepared = GEOSPrepare_r(geos.handle(), geometry.get());
    }
    ~Implementation() { GEOSPreparedGeom_destroy_r(geos.handle(), prepared); }
    Implementation(const Implementation&) = delete;
    Implementation& operator=(const Implementation&) = delete;

    /// 1 inside, -1 outside, 0 both or on the edge.
    int side(const GEOSGeometry* g) const {
        if (GEOSPreparedContains_r(geos.handle(), prepared, g) == 1)
            return 1;
        return GEOSPreparedIntersects_r(geos.handle(), prepared, g) == 0 ? -1 : 0;
    }

    Geos::Geometry within(const GEOSGeometry* g) const {
        return geos.own(GEOSIntersection_r(geos.handle(), g, geometry.get()), "cutting a shape");
    }
    Geos::Geometry beyond(const GEOSGeometry* g) const {
        return geos.own(GEOSDifference_r(geos.handle(), g, geometry.get()), "cutting a shape");
    }

    CutShape cut_points(const Shape& shape) const {
        std::vector<Point> in, out;
        for (const Point& p : shape.points())
            (area.contains(p) ? in : out).push_back(p);
        return {shared(Shape::of_points(std::move(in))), shared(Shape::of_points(std::move(out)))};
    }

    CutShape cut_lines(const std::shared_ptr<const Shape>& shape) const {
        const auto lines = lines_of(geos, *shape);
        std::vector<std::vector<Point>> in, out;
        for (std::size_t i = 0; i < shape->part_count(); ++i)
            if (const auto part = shape->part(i); part.size() == 1)
                (area.contains(part[0]) ? in : out).push_back({part[0]});
        if (const int where = side(lines.get()); where != 0 && in.empty() && out.empty())
            return where > 0 ? CutShape{shape, nullptr} : CutShape{nullptr, shape};
        add_chains(geos, within(lines.get()).get(), in);
        add_chains(geos, beyond(lines.get()).get(), out);
        return {shared(Shape::of_lines(in)), shared(Shape::of_lines(out))};
    }

    std::vector<PolygonRings> pieces(const Geos::Geometry& g) const {
        auto found = geos.rings(g.get());
        std::erase_if(found, [](const PolygonRings& p) { return area_of({p}) < least_piece_m2; });
        return found;
    }

    CutShape cut_area(const std::shared_ptr<const Shape>& shape) const {
        const auto polygons = polygons_of(*shape);
        std::size_t used = 0;
        for (const auto& polygon : polygons)
            used += polygon.size();
        if (used != shape->part_count())
            return {shape, shape};
        const auto whole = geos.valid_area(polygons);
        if (const int where = side(whole.get()); where != 0)
            return where > 0 ? CutShape{shape, nullptr} : CutShape{nullptr, shape};
        const auto in = pieces(within(whole.get())), out = pieces(beyond(whole.get()));
        // What only touches the edge keeps its own corners.
        if (in.empty())
            return {nullptr, shape};
        if (out.empty())
            return {shape, nullptr};
        return {shared(to_shape(in)), shared(to_shape(out))};
    }
};

Cutter::Cutter(const std::vector<PolygonRings>& area) : self_(std::make_unique<Implementation>(area)) {}
Cutter::~Cutter() = default;
Cutter::Cutter(Cutter&&) noexcept = default;
Cutter& Cutter::operator=(Cutter&&) noexcept = default;

bool Cutter::contains(Point p) const {
    return self_->area.contains(p);
}

CutShape Cutter::cut(const std::shared_ptr<const Shape>& shape) const {
    if (!shape || shape->empty())
        return {};
    if (self_->area.empty() || !shape->box().meets(self_->area.box()))
        return {nullptr, shape};
    switch (shape->kind()) {
    case ShapeKind::points:
        return self_->cut_points(*shape);
    case ShapeKind::lines:
        return self_->cut_lines(shape);
    case ShapeKind::area:
        return self_->cut_area(shape);
    }
    return {nullptr, shape};
}

std::vector<PolygonRings> common(const std::vector<PolygonRings>& a, const std::vector<PolygonRings>& b) {
    if (a.empty() || b.empty())
        return {};
    const Geos geos;
    const auto left = geos.valid_area(a), right = geos.valid_area(b);
    return geos.rings(
        geos.own(GEOSIntersection_r(geos.handle(), left.get(), right.get()), "taking what two areas share")
            .get());
}

std::vector<PolygonRings> slits_filled(const std::vector<PolygonRings>& areas, double width) {
    if (areas.empty())
        return {};
    const Geos geos;
    const auto grow = [&](const GEOSGeometry* g, double metres) {
        return geos.own(
            GEOSBufferWithStyle_r(geos.handle(), g, metres, 8, GEOSBUF_CAP_ROUND, GEOSBUF_JOIN_MITRE, 5.0),
            "filling slits");
    };
    const auto own = geos.valid_area(areas);
    const auto closed = grow(grow(own.get(), width / 2.0).get(), -width / 2.0);
    // Nothing of the areas themselves is lost to the rounding of the corners.
    return geos.rings(geos.own(GEOSUnion_r(geos.handle(), own.get(), closed.get()), "filling slits").get());
}

std::vector<PolygonRings> near_edges(const std::vector<const Shape*>& shapes, double radius) {
    const Geos geos;
    const double tolerance = 0.02 * radius;
    constexpr int segments = 8;
    const double wide = (radius + tolerance) / std::cos(std::numbers::pi / (4.0 * segments));
    std::vector<Geos::Geometry> parts;
    for (const Shape* shape : shapes) {
        for (std::size_t i = 0; i < shape->part_count(); ++i) {
            const auto part = shape->part(i);
            if (shape->kind() == ShapeKind::points || part.size() == 1) {
                for (const Point& p : part)
                    parts.push_back(
                        geos.own(GEOSGeom_createPointFromXY_r(geos.handle(), p.x, p.y), "a point"));
                continue;
            }
            const auto line = geos.line(part);
            // A small ring becomes a line from its corner to itself, which grows like a point.
            parts.push_back(
                geos.own(GEOSSimplify_r(geos.handle(), line.get(), tolerance), "simplifying a line"));
        }
    }
    if (parts.empty())
        return {};
    const auto all = geos.collect(std::move(parts), GEOS_GEOMETRYCOLLECTION);
    return geos.rings(
        geos.own(GEOSBuffer_r(geos.handle(), all.get(), wide, segments), "growing edges").get());
}

} // namespace dangerline::geo
