#include "dangerline/jobs/load.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/chart/precedence.hpp"
#include "dangerline/chart/sources.hpp"
#include "dangerline/files/routes.hpp"
#include "dangerline/hazard/rules.hpp"
#include "dangerline/jobs/stations.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

/// From the end back to the start by the same line.
void turn_back(passage::Route& route) {
    const auto mirror = [](auto& list, std::size_t without) {
        for (std::size_t i = list.size() - without; i-- > 0;)
            list.push_back(list[i]);
    };
    mirror(route.places, 1);
    if (!route.place_names.empty())
        mirror(route.place_names, 1);
    mirror(route.half_widths_m, 0);
    mirror(route.speeds_mps, 0);
    route.shore_end_m = route.shore_start_m;
}

passage::Route to_route(const files::DrawnRoute& drawn, const plan::RouteEntry& entry,
                        const plan::Plan& plan) {
    passage::Route route;
    route.name = !entry.name.empty()   ? entry.name
                 : !drawn.name.empty() ? drawn.name
                                       : entry.file.stem().string();
    route.source = drawn.source;
    route.places = drawn.places;
    route.place_names = drawn.place_names;
    const std::size_t legs = drawn.places.size() - 1;
    if (!entry.leg_half_widths_m.empty() && entry.leg_half_widths_m.size() != legs)
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = fmt::format("line {}, route.half_width", entry.line),
                                    .what = fmt::format("{} half-widths for {} legs of \"{}\"",
                                                        entry.leg_half_widths_m.size(), legs, route.name),
                                    .expected = "one number, or one a leg"});
    // The plan's own words come before those of the file, a list before a single number.
    if (!entry.leg_half_widths_m.empty())
        route.half_widths_m = entry.leg_half_widths_m;
    else if (entry.half_width_m)
        route.half_widths_m.assign(legs, *entry.half_width_m);
    else if (!drawn.leg_half_widths_m.empty())
        route.half_widths_m = drawn.leg_half_widths_m;
    else
        route.half_widths_m.assign(legs, drawn.half_width_m.value_or(passage::default_half_width_m));
    if (!entry.leg_speeds_mps.empty() && entry.leg_speeds_mps.size() != legs)
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = fmt::format("line {}, route.leg_speeds_kn", entry.line),
                                    .what = fmt::format("{} speeds for {} legs of \"{}\"",
                                                        entry.leg_speeds_mps.size(), legs, route.name),
                                    .expected = "one a leg"});
    route.speeds_mps = entry.leg_speeds_mps;
    if (route.speeds_mps.empty())
        route.speeds_mps.assign(legs, entry.speed_mps.value_or(plan.boat.speed_mps));
    route.shore_start_m = entry.shore_start_m;
    route.shore_end_m = entry.shore_end_m;
    if (entry.back)
        turn_back(route);
    return route;
}

std::vector<chart::LonLatBox> boxes_of(const std::vector<PlannedRoute>& routes) {
    constexpr double around_m = 3.0 * metres_per_nautical_mile;
    std::vector<chart::LonLatBox> boxes;
    for (const auto& planned : routes)
        for (const auto& box : chart::boxes_along(planned.route.places, around_m))
            boxes.push_back(box);
    return boxes;
}

} // namespace

std::vector<chart::Cell> read_charts(const plan::Plan& plan, const std::vector<PlannedRoute>& routes,
                                     Diagnostics& diagnostics, const geo::Plane* plane) {
    return read_charts_near(plan, boxes_of(routes), diagnostics, plane);
}

std::vector<chart::Cell> read_charts_near(const plan::Plan& plan, const std::vector<chart::LonLatBox>& boxes,
                                          Diagnostics& diagnostics, const geo::Plane* plane) {
    std::vector<std::filesystem::path> paths;
    for (const auto& source : plan.charts)
        if (source.line == 0)
            paths.push_back(source.file);
        else if (!chart::is_vector_source(source.file))
            throw Failure(Fault::plan, {.file = plan.file.string(),
                                        .object = fmt::format("line {}, source.file", source.line),
                                        .what = source.file.string() + " is no vector source",
                                        .expected = "GeoJSON, GeoPackage, FlatGeobuf or Shapefile",
                                        .remedy = "name cells, folders and archives in the list charts"});
    auto found = chart::find_sources(paths, diagnostics);
    auto chosen = found;
    if (!boxes.empty() && found.cells.size() > 1) // one is read wherever it lies
        chart::choose_cells(chosen, boxes, diagnostics);
    // A place away from everything still wants to be told from what.
    const auto& wanted = chosen.cells.empty() ? found.cells : chosen.cells;
    std::vector<chart::Cell> cells;
    std::optional<chart::Laying> laying;
    if (plane)
        laying.emplace(chart::Laying{*plane, &hazard::is_placed, boxes});
    for (const auto& cell : wanted)
        cells.push_back(chart::read_found_cell(cell, diagnostics, laying ? &*laying : nullptr));
    for (const auto& path : found.vectors)
        cells.push_back(chart::read_vector_chart(path, {}, diagnostics));
    for (const auto& source : plan.charts)
        if (source.line != 0)
            cells.push_back(chart::read_vector_chart(source.file, source.stated, diagnostics));
    return cells;
}

void lay_out(std::vector<chart::Cell>& cells, const geo::Plane& plane, Diagnostics& diagnostics) {
    for (auto& cell : cells)
        chart::lay_out(cell, plane, diagnostics);
    chart::settle_scales(cells);
}

std::vector<PlannedRoute> read_routes(const plan::Plan& plan, Diagnostics& diagnostics) {
    std::vector<PlannedRoute> routes;
    for (const auto& entry : plan.routes) {
        const auto drawn = files::read_routes(entry.file, diagnostics);
        std::string names;
        std::size_t picked = 0;
        for (const auto& line : drawn) {
            names += (names.empty() ? "\"" : ", \"") + line.name + "\"";
            if (!entry.pick.empty() && line.name != entry.pick)
                continue;
            ++picked;
            routes.push_back(
                {to_route(line, entry, plan), entry.depart, entry.line, entry.waits, entry.recovery_s});
        }
        if (picked == 0)
            throw Failure(Fault::plan,
                          {.file = plan.file.string(),
                           .object = fmt::format("line {}, route.pick", entry.line),
                           .what = fmt::format("no line named \"{}\" in {}", entry.pick, entry.file.string()),
                           .expected = "one of " + names});
    }
    return routes;
}

geo::Plane plane_around(const std::vector<NamedPlace>& places, const std::string& what,
                        const plan::Plan& plan) {
    double west = 1e9, east = -1e9, south = 1e9, north = -1e9;
    const double reference = places.front().position.lon_deg;
    for (const auto& [words, place] : places) {
        // Routes may run on across 180 degrees; the whole turn they start from does not matter.
        const double lon = geo::longitude_near(place.lon_deg, reference);
        west = std::min(west, lon);
        east = std::max(east, lon);
        south = std::min(south, place.lat_deg);
        north = std::max(north, place.lat_deg);
    }
    const geo::Position middle{geo::normal_longitude((west + east) / 2.0), (south + north) / 2.0};
    for (const auto& [words, place] : places)
        if (geo::geodesic_between(middle, place).metres > geo::Plane::working_radius - 10'000.0)
            throw Failure(Fault::plan,
                          {.file = plan.file.string(),
                           .object = words,
                           .what = "the " + what + " of this plan spread over more than 180 km",
                           .expected = what + " within 90 km of their middle",
                           .remedy = "split the plan; if a single place is far off, check it for a slip"});
    return geo::Plane(middle);
}

geo::Plane plane_around(const std::vector<PlannedRoute>& routes, const plan::Plan& plan) {
    std::vector<NamedPlace> places;
    for (const auto& planned : routes)
        for (const auto& place : planned.route.places)
            places.push_back({"route \"" + planned.route.name + "\"", place});
    return plane_around(places, "routes", plan);
}

geo::Plane plane_around(const std::vector<chart::Cell>& cells) {
    for (const auto& cell : cells)
        if (const auto middle = chart::middle_of(cell))
            return geo::Plane(*middle);
    return geo::Plane({0.0, 0.0});
}

hazard::BottomWindow bottom_window(std::vector<geo::Box> around, double required_m, double lowest_m,
                                   double highest_m, const passage::Doubts& doubts) {
    // Farther than the radius of any reading beyond `around` (500 m), so that the cut at its edge is never
    // met.
    constexpr double reach_m = 1000.0;
    // More than any doubt where the surface decides cautions: survey 1 m and 2 %, an approximate datum, a far
    // station; the plan's own doubts on top where they are larger.
    const double doubt_m = 1.8 + std::max(0.0, doubts.tide_height_m - 0.5) +
                           std::max(0.0, doubts.tide_time_s - 1800.0) * 2.0 / 3600.0;
    constexpr double spare_m = 0.5;
    for (auto& box : around)
        box = box.grown(reach_m);
    return {std::move(around), seabed::level_at_or_above(required_m - highest_m - spare_m),
            seabed::level_at_or_above(required_m - lowest_m + doubt_m)};
}

std::string required_words(const plan::Plan& plan) {
    return fmt::format("{:.1f} draught + {:.1f} squat + {:.1f} under the keel + {:.1f} waves",
                       plan.boat.draught_m, plan.boat.squat_m, plan.margins.under_keel_m,
                       plan.margins.wave_allowance_m);
}

TideAtRoutes tide_at(const plan::Plan& plan, const std::vector<PlannedRoute>& routes, Instant from,
                     Instant to) {
    const auto tides = read_tides(plan, from, to);
    const auto stations = stations_of(plan, tides);
    if (stations.size() != 1)
        throw Failure(Fault::plan,
                      {.file = plan.file.string(),
                       .object = "tide",
                       .what = fmt::format("{} tide stations where one is expected", stations.size()),
                       .expected = "one station for all routes; standard ports without position do not count",
                       .remedy = "leave one [[tide]] table with a position"});
    TideAtRoutes out{stations.front(), plan.doubts, {}, {}};
    std::optional<double> farthest_m;
    if (out.station.position)
        for (const auto& planned : routes)
            for (const auto& place : planned.route.places)
                farthest_m = std::max(farthest_m.value_or(0.0),
                                      geo::geodesic_between(*out.station.position, place).metres);
    const auto doubt = tide::station_doubt(out.station.secondary, farthest_m,
                                           {plan.doubts.tide_height_m, plan.doubts.tide_time_s});
    out.doubts.tide_height_m = doubt.height_m;
    out.doubts.tide_time_s = doubt.time_s;
    for (const auto& tide : tides)
        if (tide.station.name == out.station.name) {
            out.words = tide.words;
            out.notes = tide.notes;
        }
    return out;
}

} // namespace dangerline::jobs
