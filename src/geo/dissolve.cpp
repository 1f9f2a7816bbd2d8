#include "dangerline/geo/dissolve.hpp"

#include <cmath>

#include "geos.hpp"
#include "outline.hpp"

namespace dangerline::geo {

namespace {

constexpr double lost_m2 = 0.01;
constexpr double least_piece_m2 = 1.0;

/// The outline as an area; null where it does not stand for all of them.
Geos::Geometry by_outline(const Geos& geos, const std::vector<const Shape*>& areas) {
    double sum = 0.0;
    for (const Shape* area : areas)
        sum += area_of(polygons_of(*area));
    std::vector<Geos::Geometry> lines;
    for (const auto& chain : outline(areas))
        lines.push_back(geos.line(chain));
    const auto all = geos.collect(std::move(lines), GEOS_MULTILINESTRING);
    auto whole = geos.maybe(GEOSBuildArea_r(geos.handle(), all.get()));
    if (whole && !(std::abs(sum - geos.area(whole.get())) <= lost_m2 && geos.valid(whole.get())))
        whole.reset();
    return whole;
}

Geos::Geometry grown_square(const Geos& geos, const GEOSGeometry* area, double metres) {
    return geos.own(GEOSBufferWithStyle_r(geos.handle(), area, metres, buffer_segments_per_quadrant,
                                          GEOSBUF_CAP_ROUND,
                                          metres > 0.0 ? GEOSBUF_JOIN_MITRE : GEOSBUF_JOIN_ROUND, 1.5),
                    "looking for narrow parts");
}

} // namespace

std::vector<PolygonRings> dissolved(const std::vector<const Shape*>& areas) {
    std::vector<const Shape*> some;
    for (const Shape* area : areas)
        if (area->kind() == ShapeKind::area && !area->empty())
            some.push_back(area);
    if (some.empty())
        return {};
    const Geos geos;
    const auto whole = by_outline(geos, some);
    return whole ? geos.rings(whole.get()) : united(some);
}

Parted parted(const std::vector<PolygonRings>& area, const std::vector<PolygonRings>& along) {
    if (area.empty() || along.empty())
        return {{}, area};
    const Geos geos;
    const auto a = geos.valid_area(area), b = geos.valid_area(along);
    const auto both =
        geos.own(GEOSIntersection_r(geos.handle(), a.get(), b.get()), "parting an area along another");
    const auto rest =
        geos.own(GEOSDifference_r(geos.handle(), a.get(), b.get()), "parting an area along another");
    return {geos.rings(both.get()), geos.rings(rest.get())};
}

struct Ground::Implementation {
    Geos geos;
    Geos::Geometry area;
    explicit Implementation(const std::vector<PolygonRings>& polygons) : area(geos.valid_area(polygons)) {}
};

Ground::Ground(const std::vector<PolygonRings>& area) : self_(std::make_unique<Implementation>(area)) {}
Ground::~Ground() = default;
Ground::Ground(Ground&&) noexcept = default;
Ground& Ground::operator=(Ground&&) noexcept = default;

std::vector<PolygonRings> Ground::shared_with(const std::vector<PolygonRings>& other) const {
    const auto& geos = self_->geos;
    const auto b = geos.valid_area(other);
    return geos.rings(geos.own(GEOSIntersection_r(geos.handle(), self_->area.get(), b.get()),
                               "laying one area over another")
                          .get());
}

std::vector<PolygonRings> Ground::left_by(const std::vector<PolygonRings>& other) const {
    const auto& geos = self_->geos;
    const auto b = geos.valid_area(other);
    return geos.rings(
        geos.own(GEOSDifference_r(geos.handle(), self_->area.get(), b.get()), "taking one area from another")
            .get());
}

std::vector<PolygonRings> narrower_than(const std::vector<PolygonRings>& area, double width) {
    if (area.empty() || width <= 0.0)
        return {};
    const Geos geos;
    const auto whole = geos.valid_area(area);
    const auto inner = grown_square(geos, whole.get(), -width / 2.0);
    if (GEOSisEmpty_r(geos.handle(), inner.get()) == 1)
        return geos.rings(whole.get());
    const auto wide = grown_square(geos, inner.get(), width / 2.0);
    const auto narrow =
        geos.own(GEOSDifference_r(geos.handle(), whole.get(), wide.get()), "looking for narrow parts");
    auto pieces = geos.rings(narrow.get());
    std::erase_if(pieces, [&](const PolygonRings& piece) {
        const Shape shape = to_shape({piece});
        const auto& box = shape.box();
        return area_of({piece}) < least_piece_m2 ||
               std::hypot(box.max_x - box.min_x, box.max_y - box.min_y) < width / 2.0;
    });
    return pieces;
}

std::vector<PositionRings> rounded_valid(const std::vector<PositionRings>& polygons, double degrees) {
    const Geos geos;
    std::vector<PositionRings> out;
    for (const auto& polygon : polygons) {
        PolygonRings flat;
        for (const auto& ring : polygon) {
            auto& points = flat.emplace_back();
            for (const Position& p : ring)
                points.push_back({p.lon_deg, p.lat_deg});
        }
        const auto whole = geos.made_valid(geos.polygon(flat));
        const auto rounded =
            geos.own(GEOSGeom_setPrecision_r(geos.handle(), whole.get(), degrees, 0), "rounding an area");
        for (const auto& rings : geos.rings(rounded.get())) {
            auto& piece = out.emplace_back();
            for (const auto& ring : rings) {
                auto& places = piece.emplace_back();
                for (const Point& p : ring)
                    places.push_back({p.x, p.y});
            }
        }
    }
    return out;
}

} // namespace dangerline::geo
