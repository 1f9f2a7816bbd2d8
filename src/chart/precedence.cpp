#include "dangerline/chart/precedence.hpp"

#include "dangerline/geo/cut.hpp"

#include <algorithm>
#include <cmath>

namespace dangerline::chart {

namespace {

/// Two charts' common edge may lie twice 0.1 m apart in the plane, and as much again where they round it.
constexpr double slit_metres = 1.0;

bool gives_up(const Feature& f) {
    const bool land = f.cls == "LNDARE" && f.geometry.primitive == Primitive::area;
    for (const auto* cls : {"DEPARE", "DRGARE", "UNSARE", "DEPCNT", "SOUNDG"})
        if (f.cls == cls)
            return true;
    return land;
}

/// Objects that speak for the cell, not for a place in the water.
bool stays_whole(const Feature& f) {
    return f.cls == "M_COVR" || f.cls == "M_SDAT" || f.cls == "M_VDAT";
}

/// Soundings carry their depths beside their places: both are thinned out alike.
void keep_soundings_outside(Feature& f, const geo::Cutter& better) {
    Geometry kept;
    kept.primitive = f.geometry.primitive;
    std::vector<geo::Point> points;
    const auto all = f.shape->points();
    for (std::size_t i = 0; i < all.size(); ++i) {
        if (better.contains(all[i]))
            continue;
        points.push_back(all[i]);
        kept.points.push_back(f.geometry.points[i]);
        if (i < f.geometry.depths_m.size())
            kept.depths_m.push_back(f.geometry.depths_m[i]);
    }
    if (points.size() == all.size())
        return;
    f.geometry = std::move(kept);
    f.shape = std::make_shared<const geo::Shape>(geo::Shape::of_points(std::move(points)));
}

double around(const geo::PolygonRings& rings) {
    double metres = 0.0;
    for (const auto& ring : rings)
        for (std::size_t i = 1; i < ring.size(); ++i)
            metres += std::hypot(ring[i].x - ring[i - 1].x, ring[i].y - ring[i - 1].y);
    return metres;
}

/// Where two charts end along one line, what is left of the coarser is a sliver that exists in the plane
/// only.
std::vector<geo::PolygonRings> without_slivers(std::vector<geo::PolygonRings> polygons) {
    std::erase_if(polygons, [](const geo::PolygonRings& rings) {
        return 2.0 * geo::area_of({rings}) < slit_metres * around(rings);
    });
    return polygons;
}

/// Cuts one feature in place; appends what lies under the better cell to `under`. False where nothing is left
/// of it.
bool settle(Feature& f, const geo::Cutter& better, std::vector<Feature>& under) {
    if (!f.shape || f.shape->empty() || stays_whole(f))
        return true;
    if (f.cls == "SOUNDG") {
        keep_soundings_outside(f, better);
        return !f.shape->empty();
    }
    const geo::CutShape cut = better.cut(f.shape);
    if (!cut.inside)
        return true;
    if (!gives_up(f)) {
        Feature& part = under.emplace_back(f);
        part.shape = cut.inside;
        part.doubtful_shape = nullptr;
        part.under_better = true;
    }
    if (!cut.outside)
        return false;
    f.shape = cut.outside;
    if (gives_up(f) && f.shape->kind() == geo::ShapeKind::area) {
        const auto left = without_slivers(geo::polygons_of(*f.shape));
        if (left.empty())
            return false;
        f.shape = std::make_shared<const geo::Shape>(geo::to_shape(left));
    }
    if (f.doubtful_shape)
        f.doubtful_shape = better.cut(f.doubtful_shape).outside;
    return true;
}

void settle(Cell& cell, const Ruling& ruling) {
    const geo::Cutter better(ruling.better);
    std::vector<Feature> under;
    std::vector<Feature> kept;
    kept.reserve(cell.features.size());
    for (auto& f : cell.features)
        if (settle(f, better, under))
            kept.push_back(std::move(f));
    cell.features = std::move(kept);
    for (auto& f : under)
        cell.features.push_back(std::move(f));
    cell.coverage = ruling.region;
    if (!cell.gaps.empty()) {
        const auto left = better.cut(std::make_shared<const geo::Shape>(cell.gaps)).outside;
        cell.gaps = left ? *left : geo::Shape();
    }
}

constexpr geo::Box everywhere{-1e9, -1e9, 1e9, 1e9};

geo::Box bounds(const std::vector<geo::PolygonRings>& polygons) {
    return geo::to_shape(polygons).box();
}

bool coarse(const Cell& cell) {
    return cell.header.cscl == 0 || cell.header.cscl > coast_scale;
}

std::vector<const geo::Shape*> land_of(const std::vector<Cell>& cells, const geo::Box& near) {
    std::vector<const geo::Shape*> land;
    for (const auto& cell : cells)
        for (const auto& f : cell.features)
            if ((f.cls == "LNDARE" || f.cls == "COALNE") && f.shape && !f.shape->empty() &&
                f.shape->box().meets(near))
                land.push_back(f.shape.get());
    return land;
}

/// The runs of a shape's edges that meet a box, as lines: large coasts are mostly elsewhere.
geo::Shape edges_near(const geo::Shape& shape, const geo::Box& box) {
    std::vector<std::vector<geo::Point>> chains;
    for (const auto& run : shape.runs())
        if (run.box.meets(box)) {
            const auto points = shape.points().subspan(run.first, run.last - run.first + 1);
            chains.emplace_back(points.begin(), points.end());
        }
    return geo::Shape::of_lines(chains);
}

} // namespace

bool better_scale(const Cell& a, const Cell& b) {
    return a.header.cscl > 0 && b.header.cscl > 0 && a.header.cscl < b.header.cscl;
}

std::vector<Ruling> ruling_regions(const std::vector<Cell>& cells) {
    std::vector<Ruling> out(cells.size());
    std::vector<geo::Shape> covers;
    for (const auto& cell : cells)
        covers.push_back(geo::to_shape(cell.coverage));
    for (std::size_t i = 0; i < cells.size(); ++i) {
        out[i].region = cells[i].coverage;
        if (cells[i].notes)
            continue;
        // A source that states no coverage may still have objects anywhere.
        const bool anywhere = covers[i].empty();
        std::vector<const geo::Shape*> better;
        for (std::size_t j = 0; j < cells.size(); ++j)
            if (better_scale(cells[j], cells[i]) && !covers[j].empty() &&
                (anywhere || covers[j].box().meets(covers[i].box().grown(coast_metres))))
                better.push_back(&covers[j]);
        if (better.empty())
            continue;
        out[i].better = geo::united(better);
        if (better.size() > 1)
            out[i].better = geo::slits_filled(out[i].better, slit_metres);
        if (!anywhere)
            out[i].region = without_slivers(geo::without(cells[i].coverage, out[i].better));
    }
    return out;
}

void settle_scales(std::vector<Cell>& cells) {
    const auto rulings = ruling_regions(cells);
    for (std::size_t i = 0; i < cells.size(); ++i)
        if (!rulings[i].better.empty())
            settle(cells[i], rulings[i]);
}

std::vector<TooSmall> too_small_in_scale(const std::vector<Cell>& cells,
                                         const std::optional<geo::Box>& window) {
    std::vector<TooSmall> out;
    if (std::none_of(cells.begin(), cells.end(),
                     [](const Cell& c) { return coarse(c) && !c.coverage.empty(); }))
        return out;
    const geo::Box near = window ? window->grown(coast_metres) : everywhere;
    std::vector<geo::Shape> clipped;
    auto land = land_of(cells, near);
    if (window) {
        for (const auto* shape : land)
            clipped.push_back(shape->kind() == geo::ShapeKind::points ? *shape : edges_near(*shape, near));
        land.clear();
        for (const auto& shape : clipped)
            land.push_back(&shape);
    }
    const auto coast = geo::near_edges(land, coast_metres);
    if (coast.empty())
        return out;
    const geo::Box reach = bounds(coast);
    for (std::size_t i = 0; i < cells.size(); ++i)
        if (coarse(cells[i]) && !cells[i].coverage.empty() && bounds(cells[i].coverage).meets(reach))
            if (auto where = geo::to_shape(geo::common(cells[i].coverage, coast)); !where.empty())
                out.push_back({i, std::make_shared<const geo::Shape>(std::move(where))});
    return out;
}

} // namespace dangerline::chart
