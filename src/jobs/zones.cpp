#include "dangerline/jobs/zones.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/hazard/zones.hpp"
#include "dangerline/jobs/newer.hpp"
#include "jobs/day.hpp"
#include "jobs/near.hpp"
#include "jobs/trust.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

/// The rectangle zones are drawn in: around all routes; nothing where the plan has no route.
std::optional<geo::Box> window_of(const std::vector<PlannedRoute>& routes, const geo::Plane& plane,
                                  double within_m) {
    std::optional<geo::Box> box;
    for (const auto& route : routes)
        for (const auto& place : route.route.places) {
            const geo::Point p = plane.to_plane(place);
            const geo::Box one{p.x, p.y, p.x, p.y};
            box = !box ? one
                       : geo::Box{std::min(box->min_x, p.x), std::min(box->min_y, p.y),
                                  std::max(box->max_x, p.x), std::max(box->max_y, p.y)};
        }
    return box ? std::optional(box->grown(within_m)) : std::nullopt;
}

geo::Box bounds_of(const std::vector<chart::Cell>& cells) {
    geo::Box all{0.0, 0.0, 0.0, 0.0};
    for (const auto& cell : cells)
        for (const auto& f : cell.features)
            if (f.shape && !f.shape->empty()) {
                const auto& b = f.shape->box();
                all = {std::min(all.min_x, b.min_x), std::min(all.min_y, b.min_y),
                       std::max(all.max_x, b.max_x), std::max(all.max_y, b.max_y)};
            }
    return all;
}

double greatest_half_width(const std::vector<PlannedRoute>& routes) {
    double metres = routes.empty() ? passage::default_half_width_m : 0.0;
    for (const auto& planned : routes)
        for (const double leg : planned.route.half_widths_m)
            metres = std::max(metres, leg);
    return metres;
}

std::string reason_of(const hazard::Hazard& h, const hazard::ZoneAt& at, double tide_m, double required_m) {
    const std::string name = h.object.name.empty() ? h.what : fmt::format("{} \"{}\"", h.what, h.object.name);
    if (at.critical_tide_m && std::isfinite(*at.critical_tide_m))
        return fmt::format(
            "{}: {}; with the tide at {:.2f} m the water is {:.1f} m where {:.1f} m is required, within "
            "{:.0f} m.",
            name, at.basis, tide_m, required_m - *at.critical_tide_m + tide_m, required_m, at.radius_m);
    return fmt::format("{}: {}, within {:.0f} m.", name, at.basis, at.radius_m);
}

} // namespace

ZonesReport run_zones(const plan::Plan& plan, const std::vector<double>& tides_m) {
    Diagnostics diagnostics;
    const auto routes = read_routes(plan, diagnostics);
    auto cells = read_charts_compared(plan, routes, diagnostics);
    ZonesReport report{plan,
                       routes.empty() ? plane_around(cells) : plane_around(routes, plan),
                       {},
                       {},
                       passage::required_water(plan.boat, plan.margins).metres(),
                       {},
                       tides_m,
                       {},
                       0,
                       {}};
    report.as_of = day_of_use(plan, routes);
    report.required_words = required_words(plan);
    lay_out(cells, report.plane, diagnostics);
    join_newer(plan, report.plane, routes, report.as_of, cells, diagnostics);
    report.cells = cell_notes(cells, report.as_of);
    const auto window = window_of(routes, report.plane, plan.zones_within_m);
    const auto [low, high] = std::minmax_element(tides_m.begin(), tides_m.end());
    const auto bottom =
        bottom_window({window.value_or(bounds_of(cells))}, report.required_m, *low, *high, plan.doubts);
    const auto hazards = hazard::build(
        cells, diagnostics,
        {bottom, report.as_of, window, trust_on(plan, report.as_of), moving_in(plan, report.plane)});
    const hazard::ZoneSettings settings{Water::from_metres(report.required_m), greatest_half_width(routes),
                                        plan.doubts.tide_height_m, window};
    for (std::size_t i = 0; i < hazards.all.size(); ++i) {
        const auto& h = hazards.all[i];
        if (h.uncovered)
            continue; // the rest of the world
        const double reach_m = settings.half_width_m + std::max(h.allowance.position_m, h.allowance.survey_m);
        if (window && !window->grown(reach_m).meets(h.box))
            continue;
        ++report.hazards_tested;
        const hazard::ZoneMaker maker(h, settings);
        for (const double tide_m : tides_m)
            for (const auto reading :
                 {hazard::ZoneReading::charted, hazard::ZoneReading::close, hazard::ZoneReading::wide}) {
                auto at = maker.at(TideHeight::from_metres(tide_m), reading);
                if (at.area.empty())
                    continue;
                const std::string reason = reason_of(h, at, tide_m, report.required_m);
                report.zones.push_back({i, h.kind, h.object, h.what, at.grade, at.cause, reading, tide_m,
                                        at.radius_m, at.depth_m, at.depth_known, at.critical_tide_m, reason,
                                        std::move(at.area)});
            }
    }
    sort_worst_first(diagnostics);
    report.diagnostics = std::move(diagnostics);
    return report;
}

} // namespace dangerline::jobs
