#include "jobs/scene.hpp"

#include "jobs/near.hpp"
#include "jobs/trust.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/files/routes.hpp"
#include "dangerline/jobs/newer.hpp"
#include "dangerline/jobs/stations.hpp"

#include <algorithm>
#include <iterator>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

/// Whether any place, longitude and latitude exchanged, falls on some cell's coverage.
bool lies_on_charts_when_swapped(const passage::Route& route, const std::vector<chart::Cell>& cells) {
    const auto exchanged = files::swapped(route.places);
    if (exchanged.empty())
        return false;
    const geo::Plane plane = plane_around(cells);
    // One polygon at a time: charts of several scales cover the same water.
    const auto covers = [&](const std::vector<std::vector<geo::Position>>& rings, const geo::Position& p) {
        geo::PolygonRings polygon;
        for (const auto& ring : rings)
            plane.to_plane(ring, polygon.emplace_back());
        return geo::to_shape({polygon}).contains(plane.to_plane(p));
    };
    for (const auto& cell : cells)
        for (const auto& f : cell.features)
            if (f.cls == "M_COVR" && f.attributes.code("CATCOV") == 1)
                for (const auto& rings : f.geometry.polygons)
                    for (const auto& place : exchanged)
                        if (covers(rings, place))
                            return true;
    return false;
}

[[noreturn]] void refuse_off_chart(const passage::Route& route, const std::vector<chart::Cell>& cells) {
    const bool swapped = lies_on_charts_when_swapped(route, cells);
    std::string names;
    for (const auto& cell : cells)
        names += (names.empty() ? "" : ", ") + cell.name;
    throw Failure(
        Fault::data,
        {.file = route.source,
         .object = "route \"" + route.name + "\"",
         .what = swapped ? "no part of it lies on the charts; longitude and latitude look swapped"
                         : "no part of it lies on the charts (" + names + ")",
         .expected = "longitude first, then latitude, on the charts of the plan",
         .remedy = swapped ? "exchange the two in every place" : "name the chart of this water in the plan"});
}

geo::Box bounds_of(const std::vector<passage::Track>& tracks) {
    geo::Box box = tracks.front().chords().front().box();
    for (const auto& track : tracks)
        for (const auto& chord : track.chords())
            box = {std::min(box.min_x, chord.box().min_x), std::min(box.min_y, chord.box().min_y),
                   std::max(box.max_x, chord.box().max_x), std::max(box.max_y, chord.box().max_y)};
    return box;
}

} // namespace

void rethrow_with_plan(const Failure& failure, const plan::Plan& plan) {
    Complaint c = failure.complaint();
    if (c.file.empty() && failure.fault() == Fault::plan)
        c.file = plan.file.string();
    throw Failure(failure.fault(), c);
}

std::vector<std::string> warnings_of(const passage::Check& check) {
    std::vector<std::string> out;
    constexpr double three_miles_m = 3.0 * metres_per_nautical_mile;
    if (check.tested.within_one_mile == 0 && check.tested.nearest_land_m <= three_miles_m)
        out.push_back("no hazard is charted within 1 NM of a route that runs within 3 NM of land; "
                      "the chart may be too small in scale, or empty");
    if (check.tested.not_covered_m > 0.0)
        out.push_back(fmt::format("{:.1f} NM of the route lie on no chart",
                                  check.tested.not_covered_m / metres_per_nautical_mile));
    return out;
}

std::vector<PlannedRoute> needed_routes(const plan::Plan& plan, Diagnostics& diagnostics) {
    if (plan.routes.empty())
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = "route",
                                    .what = "the plan names no route",
                                    .remedy = "add a [[route]] table with the file of a drawn route"});
    return read_routes(plan, diagnostics);
}

Scene::Scene(const plan::Plan& plan, const geo::Plane& plane, std::vector<PlannedRoute> routes,
             const CalendarDay& as_of, Instant first, Instant last, Diagnostics& diagnostics)
    : plan_(plan), routes_(std::move(routes)), first_(first) {
    cells_ = read_charts_compared(plan, routes_, diagnostics, &plane);
    lay_out(cells_, plane, diagnostics);
    join_newer(plan, plane, routes_, as_of, cells_, diagnostics);
    for (const auto& planned : routes_)
        tracks_.emplace_back(planned.route, plane);
    tides_.emplace(plan, first, last);
    const double required_m = passage::required_water(plan.boat, plan.margins).metres();
    hazards_ = hazard::build(cells_, diagnostics,
                             {tides_->bottom(tracks_, cells_, required_m), as_of, bounds_of(tracks_),
                              trust_on(plan, as_of), moving_in(plan, plane)});
    try {
        tides_->lay(plane, hazards_, tracks_);
        streams_ = read_streams(plan, plane, cells_, land_of(hazards_), first - 3600.0, last);
    } catch (const Failure& failure) {
        rethrow_with_plan(failure, plan);
    }
}

passage::Conditions Scene::conditions(std::size_t route) const {
    passage::Conditions conditions{plan_.boat, passage::required_water(plan_.boat, plan_.margins),
                                   plan_.doubts, tides_->along(route), plan_.sea};
    if (plan_.wind)
        conditions.wind_from_deg = plan_.wind->from_deg;
    conditions.tide_distrust = tides_->distrust(route);
    return conditions;
}

passage::Voyage Scene::voyage(std::size_t route, Instant from, Instant to, double speed_factor,
                              passage::Voyage::Settings::Luck luck) const {
    return voyage_of(tracks_[route], routes_[route], plan_, streams_, from, to, speed_factor, luck);
}

void Scene::add(std::vector<hazard::Hazard> more) {
    if (more.empty())
        return;
    std::move(more.begin(), more.end(), std::back_inserter(hazards_.all));
    std::vector<geo::Box> boxes;
    for (const auto& h : hazards_.all)
        boxes.push_back(h.box);
    hazards_.index = std::make_shared<const geo::BoxIndex>(boxes);
}

bool Scene::bounded() const {
    return streams_.map && plan_.sea.rate_mps;
}

std::optional<int> Scene::chart_code() const {
    return cells_.empty() ? std::nullopt : std::optional(cells_.front().header.sdat);
}

std::vector<std::string> Scene::warnings(const TideNotes& notes) const {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < tracks_.size(); ++i)
        if (const auto why = tides_->distrust(i); !why.empty()) {
            const std::string warning = "the tide can't be relied on: " + why;
            if (std::find(out.begin(), out.end(), warning) == out.end())
                out.push_back(warning);
        }
    out.insert(out.end(), notes.warnings.begin(), notes.warnings.end());
    if (plan_.as_of && days_between(*plan_.as_of, day_of(first_)) > 0)
        out.push_back(fmt::format("ages are reckoned at {}, before the departure on {}",
                                  to_text(*plan_.as_of), to_text(day_of(first_))));
    return out;
}

void Scene::require_chart(std::size_t route, const passage::Check& check) const {
    if (check.tested.not_covered_m >= tracks_[route].length() - 1e-3)
        refuse_off_chart(routes_[route].route, cells_);
}

} // namespace dangerline::jobs
