#include "dangerline/hazard/share.hpp"

#include "dangerline/geo/regions.hpp"

#include <algorithm>
#include <vector>

namespace dangerline::hazard {

namespace {

double area_of(const geo::Shape& shape) {
    return shape.empty() ? 0.0 : geo::area_of(geo::polygons_of(shape));
}

double area_of_all(const std::vector<const geo::Shape*>& shapes) {
    if (shapes.empty())
        return 0.0;
    return shapes.size() == 1 ? area_of(*shapes.front()) : geo::area_of(geo::united(shapes));
}

/// Distinct extents of the steps that lack water, deciding danger or also caution.
std::vector<const geo::Shape*> lacking(const Hazard& h, Water required, double tide_m, bool danger_only) {
    std::vector<const geo::Shape*> shapes;
    const Step* deepest = nullptr; // of a surface's levels, which lie within one another
    for (const auto& step : h.steps) {
        const bool danger = step.decides == Grade::danger;
        if (step.in_force != InForce::below || (danger_only && !danger) || step.extent->empty() ||
            !(step.depth.metres() + tide_m < required.metres()))
            continue;
        if (danger && h.surface) {
            if (!deepest || step.depth > deepest->depth)
                deepest = &step;
        } else if (std::find(shapes.begin(), shapes.end(), step.extent.get()) == shapes.end()) {
            shapes.push_back(step.extent.get());
        }
    }
    if (deepest)
        shapes.push_back(deepest->extent.get());
    return shapes;
}

} // namespace

WaterShare share_of_water(const Hazards& hazards, Water required, TideHeight tide, double doubt_m) {
    WaterShare share;
    for (const auto& h : hazards.all) {
        const auto& whole = *h.steps.front().extent;
        const bool bottom = h.between || (h.kind == Kind::no_data && h.object.cls == "UNSARE");
        if (!bottom || whole.kind() != geo::ShapeKind::area)
            continue;
        const double water = area_of(whole);
        share.water += water;
        const double danger = area_of_all(lacking(h, required, tide.metres(), true));
        share.danger += danger;
        const bool unknown = std::any_of(h.steps.begin(), h.steps.end(),
                                         [](const Step& s) { return s.decides == Grade::unknown; });
        if (unknown)
            share.unknown += water - danger;
        else
            share.caution +=
                std::max(0.0, area_of_all(lacking(h, required, tide.metres() - doubt_m, false)) - danger);
    }
    return share;
}

} // namespace dangerline::hazard
