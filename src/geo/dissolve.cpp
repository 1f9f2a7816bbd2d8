#include "dangerline/geo/dissolve.hpp"

#include <cmath>

#include "geos.hpp"
#include "outline.hpp"

namespace dangerline::geo {

namespace {

constexpr double lost_m2 = 0.01;
constexpr double least_piece_m2 = 1.0;

double sum_of(const std::vector<const Shape*>& areas) {
    double sum = 0.0;
    for (const Shape* area : areas)
        sum += area_of(polygons_of(*area));
    return sum;
}

/// The outline as an area; nothing where it does not stand for all of them.
std::vector<PolygonRings> by_outline(const Geos& geos, const std::vector<const Shape*>& areas) {
    auto polygons = polygons_of(Shape::of_area(outline_rings(areas)));
    if (std::abs(sum_of(areas) - area_of(polygons)) > lost_m2)
        return {};
    // Written as GEOS does it: outer rings counter-clockwise, holes clockwise.
    const auto whole = geos.polygons(polygons);
    return geos.valid(whole.get()) ? geos.rings(whole.get()) : std::vector<PolygonRings>{};
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
    auto whole = by_outline(Geos(), some);
    return whole.empty() ? united(some) : whole;
}

bool same_cover(const std::vector<const Shape*>& a, const std::vector<const Shape*>& b) {
    std::vector<const Shape*> both = a;
    both.insert(both.end(), b.begin(), b.end());
    // Every edge is passed an even number of times: the places covered an odd number of times are the same.
    // Where no place of a is covered twice, as much area in b leaves none for covering anything twice.
    return !a.empty() && !b.empty() && outline(both).empty() && std::abs(sum_of(a) - sum_of(b)) <= lost_m2;
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

namespace {

PositionRings places_of(const PolygonRings& rings) {
    PositionRings out;
    for (const auto& ring : rings) {
        auto& places = out.emplace_back();
        for (const Point& p : ring)
            places.push_back({p.x, p.y});
    }
    return out;
}

} // namespace

std::vector<PositionRings> rounded_valid(const std::vector<PositionRings>& polygons, double degrees) {
    const Geos geos;
    std::vector<PositionRings> out;
    for (const auto& polygon : polygons) {
        PolygonRings exact, rounded;
        for (const auto& ring : polygon) {
            auto &flat = exact.emplace_back(), &near = rounded.emplace_back();
            for (const Position& p : ring) {
                flat.push_back({p.lon_deg, p.lat_deg});
                near.push_back(
                    {std::round(p.lon_deg / degrees) * degrees, std::round(p.lat_deg / degrees) * degrees});
            }
        }
        // Rounding point by point is mostly all it takes.
        if (const auto simple = geos.polygon(rounded);
            geos.valid(simple.get()) && geos.area(simple.get()) > 0.0) {
            out.push_back(places_of(rounded));
            continue;
        }
        const auto whole = geos.made_valid(geos.polygon(exact));
        const auto noded =
            geos.own(GEOSGeom_setPrecision_r(geos.handle(), whole.get(), degrees, 0), "rounding an area");
        for (const auto& rings : geos.rings(noded.get()))
            out.push_back(places_of(rings));
    }
    return out;
}

} // namespace dangerline::geo
