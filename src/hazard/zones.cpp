#include "dangerline/hazard/zones.hpp"

#include "dangerline/tide/datum.hpp"

#include <algorithm>
#include <cmath>

namespace dangerline::hazard {

namespace {

/// The part of an area inside a rectangle grown by the radius, so that growing the rest costs nothing. Points
/// and lines are left whole: they are small.
std::vector<geo::PolygonRings> clipped(const std::vector<geo::PolygonRings>& area, const geo::Box& box) {
    constexpr double far = 5'000'000.0;
    const geo::Ring around{{-far, -far}, {far, -far}, {far, far}, {-far, far}, {-far, -far}};
    const geo::Ring window{{box.min_x, box.min_y},
                           {box.min_x, box.max_y},
                           {box.max_x, box.max_y},
                           {box.max_x, box.min_y},
                           {box.min_x, box.min_y}};
    return geo::without(area, {{around, window}});
}

bool inside(const geo::Box& inner, const geo::Box& outer) {
    return inner.min_x >= outer.min_x && inner.min_y >= outer.min_y && inner.max_x <= outer.max_x &&
           inner.max_y <= outer.max_y;
}

} // namespace

const char* to_text(ZoneReading reading) {
    switch (reading) {
    case ZoneReading::charted:
        return "charted";
    case ZoneReading::close:
        return "close";
    case ZoneReading::wide:
        return "wide";
    }
    return "";
}

ZoneMaker::ZoneMaker(const Hazard& hazard, const ZoneSettings& settings)
    : hazard_(hazard), settings_(settings) {}

double ZoneMaker::doubt(double depth_m, ZoneReading reading) const {
    if (reading == ZoneReading::charted)
        return 0.0;
    const double datum_m = tide::is_approximate(hazard_.datum) ? tide::approximate_datum_doubt_m : 0.0;
    const double survey_m =
        reading == ZoneReading::wide && std::isfinite(depth_m) ? hazard_.allowance.depth_doubt(depth_m) : 0.0;
    return std::hypot(settings_.tide_height_doubt_m, survey_m) + datum_m;
}

ZoneMaker::InForceAs ZoneMaker::in_force(const Step& step, TideHeight tide, ZoneReading reading) const {
    const double depth = step.depth.metres();
    const bool by_tide = step.in_force == InForce::below;
    const bool charted = !by_tide || tide < critical_tide(settings_.required, step.depth);
    const bool assumed = step.decides == Grade::caution && step.cause == Cause::assumed;
    if (reading == ZoneReading::charted)
        return charted && !assumed ? InForceAs{step.decides, step.cause} : InForceAs{};
    if (!charted && !(depth + tide.metres() - doubt(depth, reading) < settings_.required.metres()))
        return {};
    // Marks keep their distance and notes their grade; anything else reaches farther only by doubt.
    if (step.within_m || step.decides == Grade::note)
        return {step.decides, step.cause};
    if (reading == ZoneReading::wide)
        return {Grade::caution, Cause::survey};
    if (step.decides == Grade::caution)
        return {Grade::caution, step.cause};
    return {Grade::caution, charted ? Cause::position : Cause::margin};
}

const std::vector<geo::PolygonRings>& ZoneMaker::grown(const Step& step, double radius) const {
    for (const auto& d : drawn_)
        if (d.extent == step.extent.get() && d.radius == radius)
            return d.area;
    const geo::Shape* shape = step.extent.get();
    geo::Shape cut;
    if (settings_.window && shape->kind() == geo::ShapeKind::area &&
        !inside(shape->box(), settings_.window->grown(radius))) {
        cut = geo::to_shape(clipped(geo::polygons_of(*shape), settings_.window->grown(radius)));
        shape = &cut;
    }
    auto area = shape->empty() ? std::vector<geo::PolygonRings>{} : geo::grown(*shape, radius);
    if (settings_.window && !area.empty() && !inside(shape->box().grown(radius), *settings_.window))
        area = clipped(area, *settings_.window);
    drawn_.push_back({step.extent.get(), radius, std::move(area)});
    return drawn_.back().area;
}

ZoneAt ZoneMaker::at(TideHeight tide, ZoneReading reading) const {
    const auto& allowance = hazard_.allowance;
    ZoneAt best;
    std::vector<const Step*> chosen; // all of the worst grade: their extents may differ
    for (const auto& step : hazard_.steps) {
        const InForceAs as = in_force(step, tide, reading);
        if (as.grade == Grade::none_found || as.grade < best.grade)
            continue;
        if (as.grade > best.grade)
            chosen.clear();
        if (chosen.empty() || step.depth < chosen.front()->depth) {
            best.grade = as.grade;
            best.cause = as.cause;
            chosen.insert(chosen.begin(), &step);
        } else {
            chosen.push_back(&step);
        }
    }
    if (chosen.empty())
        return {};
    const Step& shoalest = *chosen.front();
    const double extra = reading == ZoneReading::charted ? 0.0
                         : reading == ZoneReading::close ? allowance.position_m
                                                         : allowance.survey_m;
    const auto radius_of = [&](const Step& step) {
        return step.within_m ? *step.within_m : settings_.half_width_m + extra;
    };
    best.radius_m = radius_of(shoalest);
    best.depth_known = shoalest.depth_known;
    best.basis = shoalest.basis;
    if (hazard_.kind == Kind::depth) {
        best.critical_tide_m = critical_tide(settings_.required, shoalest.depth).metres();
        if (std::isfinite(shoalest.depth.metres()))
            best.depth_m = shoalest.depth.metres();
    }
    best.area = together(chosen, radius_of);
    return best;
}

std::vector<geo::PolygonRings>
ZoneMaker::together(const std::vector<const Step*>& steps,
                    const std::function<double(const Step&)>& radius_of) const {
    // Steps of a surface lie within one another: the deepest holds the others. The whole area and what is
    // left to its shoal end may add to it.
    std::vector<const Step*> distinct;
    const Step* deepest = nullptr;
    for (const Step* step : steps) {
        const bool level =
            hazard_.surface && step->in_force == InForce::below && step->decides == Grade::danger;
        if (level && (!deepest || step->depth > deepest->depth))
            deepest = step;
        else if (!level && std::none_of(distinct.begin(), distinct.end(),
                                        [&](const Step* other) { return other->extent == step->extent; }))
            distinct.push_back(step);
    }
    if (deepest)
        distinct.push_back(deepest);
    if (distinct.size() == 1)
        return grown(*distinct.front(), radius_of(*distinct.front()));
    std::vector<geo::Shape> shapes;
    for (const Step* step : distinct)
        shapes.push_back(geo::to_shape(grown(*step, radius_of(*step))));
    std::vector<const geo::Shape*> pointers;
    for (const auto& shape : shapes)
        if (!shape.empty())
            pointers.push_back(&shape);
    return pointers.empty() ? std::vector<geo::PolygonRings>{} : geo::united(pointers);
}

} // namespace dangerline::hazard
