#include "hazard/datums.hpp"

#include <algorithm>
#include <cmath>
#include <map>

namespace dangerline::hazard {

namespace {

using chart::Feature;
using geo::Shape;

constexpr double sliver_m = 1.0;

double around(const geo::PolygonRings& rings) {
    double metres = 0.0;
    for (const auto& ring : rings)
        for (std::size_t i = 1; i < ring.size(); ++i)
            metres += std::hypot(ring[i].x - ring[i - 1].x, ring[i].y - ring[i - 1].y);
    return metres;
}

bool only_slivers(const Shape& shape) {
    if (shape.kind() != geo::ShapeKind::area)
        return false;
    const auto polygons = geo::polygons_of(shape);
    return std::all_of(polygons.begin(), polygons.end(), [](const geo::PolygonRings& rings) {
        return 2.0 * geo::area_of({rings}) < sliver_m * around(rings);
    });
}

bool has_depths(const Feature& f) {
    return (f.cls == "DEPARE" || f.cls == "DRGARE") && f.shape && f.shape->kind() == geo::ShapeKind::area &&
           !f.shape->empty();
}

} // namespace

Datums::Datums(const chart::Cell& cell, std::string_view area_class, int of_cell)
    : cell_(cell), of_cell_(of_cell) {
    std::map<int, std::vector<const Shape*>> by_code;
    std::vector<const Shape*> all;
    std::vector<std::vector<geo::Point>> edges;
    for (const auto& f : cell.features) {
        if (f.cls != area_class || !f.shape || f.shape->kind() != geo::ShapeKind::area)
            continue;
        const auto code = f.attributes.code("VERDAT");
        if (!code)
            continue;
        by_code[*code].push_back(f.shape.get());
        all.push_back(f.shape.get());
        for (std::size_t i = 0; i < f.shape->part_count(); ++i)
            edges.emplace_back(f.shape->part(i).begin(), f.shape->part(i).end());
    }
    for (const auto& [code, shapes] : by_code)
        regions_.push_back({code, geo::Cutter(geo::united(shapes))});
    if (!all.empty())
        any_ = std::make_unique<geo::Cutter>(geo::united(all));
    rim_ = Shape::of_lines(edges);
}

std::vector<int> Datums::at(const Feature& f, geo::Point place) const {
    if (const auto own = f.attributes.code("VERDAT"))
        return {*own};
    std::vector<int> codes;
    for (const auto& region : regions_)
        if (region.cutter.contains(place))
            codes.push_back(region.datum);
    return codes.empty() ? std::vector{of_cell_} : codes;
}

std::vector<DatumPart> Datums::parts(const Feature& f, const std::shared_ptr<const Shape>& shape) const {
    if (const auto own = f.attributes.code("VERDAT"))
        return {{*own, shape}};
    if (!any_)
        return {{of_cell_, shape}};
    if (shape->kind() == geo::ShapeKind::points && shape->points().size() == 1) {
        std::vector<DatumPart> out;
        for (const int code : at(f, shape->points().front()))
            out.push_back({code, shape});
        return out;
    }
    std::vector<DatumPart> out;
    const auto take = [&](int datum, std::shared_ptr<const Shape> part) {
        if (!part || part->empty() || only_slivers(*part))
            return;
        out.push_back({datum, std::move(part)});
    };
    for (const auto& region : regions_)
        take(region.datum, region.cutter.cut(shape).inside);
    take(of_cell_, any_->cut(shape).outside);
    if (out.empty()) { // it bounds nothing, or is itself a sliver
        for (const int code : at(f, shape->points().front()))
            out.push_back({code, shape});
        return out;
    }
    // The cell's own datum may hold in some of the areas too.
    const int first = out.front().datum;
    if (std::all_of(out.begin(), out.end(), [&](const DatumPart& p) { return p.datum == first; }))
        return {{first, shape}};
    return out;
}

/// An edge of the datum areas meets the area or runs along it.
bool Datums::at_rim(const Shape& area) const {
    const auto near = [](const Shape& of, std::span<const geo::Point> places) {
        return std::any_of(places.begin(), places.end(), [&](geo::Point p) {
            return of.box().grown(sliver_m).meets({p.x, p.y, p.x, p.y}) && of.distance(p) <= sliver_m;
        });
    };
    return near(rim_, area.points()) || near(area, rim_.points());
}

bool Datums::changes_beside(const Feature& area) const {
    if (!any_ || !area.shape)
        return false;
    const auto own = parts(area, area.shape);
    if (own.size() > 1)
        return true;
    if (!at_rim(*area.shape))
        return false;
    return std::any_of(cell_.features.begin(), cell_.features.end(), [&](const Feature& other) {
        if (&other == &area || !has_depths(other) ||
            !other.shape->box().meets(area.shape->box().grown(sliver_m)))
            return false;
        const auto its = parts(other, other.shape);
        return its.size() > 1 || its.front().datum != own.front().datum;
    });
}

} // namespace dangerline::hazard
