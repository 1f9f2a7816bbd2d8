#include "dangerline/jobs/passage.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/files/routes.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/tide/harmonic.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

constexpr long stale_days = 90, very_stale_days = 365;
constexpr double day_s = 86400.0;

Instant departure_of(const plan::Plan& plan, const PlannedRoute& planned,
                     const std::optional<std::string>& override_with) {
    const auto& text = override_with ? override_with : planned.depart ? planned.depart : plan.depart;
    if (!text)
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = fmt::format("line {}, route", planned.plan_line),
                                    .what = "no departure for this route",
                                    .remedy = "add depart = \"2026-06-12 06:30\" to the plan, or --depart"});
    try {
        return plan.zone.parse(*text);
    } catch (const std::invalid_argument& wrong) {
        throw Failure(
            override_with ? Fault::command_line : Fault::plan,
            {.file = override_with ? "" : plan.file.string(), .object = "departure", .what = wrong.what()});
    }
}

/// Whether every place, longitude and latitude exchanged, falls on some cell's coverage.
bool lies_on_charts_when_swapped(const passage::Route& route, const std::vector<chart::Cell>& cells) {
    const auto exchanged = files::swapped(route.places);
    if (exchanged.empty())
        return false;
    const geo::Plane plane = plane_around(cells);
    std::vector<geo::PolygonRings> coverage;
    for (const auto& cell : cells)
        for (const auto& f : cell.features)
            if (f.cls == "M_COVR" && f.attributes.code("CATCOV") == 1)
                for (const auto& rings : f.geometry.polygons) {
                    auto& polygon = coverage.emplace_back();
                    for (const auto& ring : rings)
                        plane.to_plane(ring, polygon.emplace_back());
                }
    const geo::Shape covered = geo::to_shape(coverage);
    return std::any_of(exchanged.begin(), exchanged.end(),
                       [&](const geo::Position& p) { return covered.contains(plane.to_plane(p)); });
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

std::string tide_words(const plan::Plan& plan) {
    const auto& source = plan.tide.datums.source_code;
    const std::string datum = source ? "above " + tide::datum_text(*source) : "above an unstated datum";
    if (plan.tide.kind == plan::TideSource::Kind::fixed)
        return fmt::format("fixed height {:.2f} m {}", plan.tide.height_m, datum);
    return fmt::format("harmonic prediction from {}, mean level {:.2f} m {}",
                       plan.tide.constants.filename().string(), plan.tide.mean_level_m, datum);
}

/// The span of the years used above the datum of the first cell, and what looks wrong about it.
std::vector<std::string> tide_notes(const plan::Plan& plan, const std::vector<chart::Cell>& cells,
                                    Instant from, Instant to) {
    std::vector<std::string> out;
    if (plan.tide.kind != plan::TideSource::Kind::harmonic || cells.empty())
        return out;
    const auto offset = plan.tide.datums.offset_to(cells.front().header.sdat);
    if (!offset)
        return out;
    const auto s = tide::summarise(tide::read_constants(plan.tide.constants), plan.tide.mean_level_m, *offset,
                                   day_of(from).year, day_of(to).year);
    out.push_back(
        fmt::format("tide of {} above chart datum: lowest {:.2f} m, mean {:.2f} m, highest {:.2f} m",
                    s.first_year, s.lowest.metres(), s.mean.metres(), s.highest.metres()));
    out.insert(out.end(), s.warnings.begin(), s.warnings.end());
    return out;
}

/// Adds the plan's name to a failure that arose deeper down.
[[noreturn]] void rethrow_with_plan(const Failure& failure, const plan::Plan& plan) {
    Complaint c = failure.complaint();
    if (c.file.empty() && failure.fault() == Fault::plan)
        c.file = plan.file.string();
    throw Failure(failure.fault(), c);
}

} // namespace

std::vector<CellNote> cell_notes(const std::vector<chart::Cell>& cells, const CalendarDay& day) {
    std::vector<CellNote> notes;
    for (const auto& cell : cells) {
        CellNote n{cell.name,
                   cell.edition,
                   cell.update,
                   cell.issued,
                   chart::days_since_update(cell, day),
                   static_cast<int>(cell.header.cscl)};
        n.stale = n.days_since.value_or(very_stale_days + 1) > stale_days;
        n.very_stale = n.days_since.value_or(very_stale_days + 1) > very_stale_days;
        notes.push_back(std::move(n));
    }
    return notes;
}

PassageReport run_passage(const plan::Plan& plan, const std::optional<std::string>& depart) {
    Diagnostics diagnostics;
    if (plan.routes.empty())
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = "route",
                                    .what = "the plan names no route",
                                    .remedy = "add a [[route]] table with the file of a drawn route"});
    const auto routes = read_routes(plan, diagnostics);
    std::vector<Instant> departures;
    for (const auto& planned : routes)
        departures.push_back(departure_of(plan, planned, depart));
    auto cells = read_charts(plan.charts, diagnostics);
    PassageReport report{plan,
                         plane_around(routes, plan),
                         {},
                         plan.as_of.value_or(day_of(*std::min_element(departures.begin(), departures.end()))),
                         passage::required_water(plan.boat, plan.margins).metres(),
                         required_words(plan),
                         tide_words(plan),
                         {},
                         {},
                         hazard::Grade::none_found,
                         {}};
    report.cells = cell_notes(cells, report.as_of);
    for (auto& cell : cells)
        chart::lay_out(cell, report.plane, diagnostics);
    const auto hazards = hazard::build(cells, diagnostics);
    Instant first = departures.front(), last = departures.front();
    std::vector<passage::Timetable> timetables;
    std::vector<passage::Track> tracks;
    for (std::size_t i = 0; i < routes.size(); ++i) {
        tracks.emplace_back(routes[i].route, report.plane);
        timetables.emplace_back(tracks.back(), departures[i]);
        first = std::min(first, departures[i]);
        last = std::max(last, timetables.back().arrival());
    }
    const passage::Conditions conditions{plan.boat,        passage::required_water(plan.boat, plan.margins),
                                         plan.doubts,      tide_of(plan, first - day_s, last + day_s),
                                         plan.tide.datums, plan.sea};
    report.tide_warnings = tide_notes(plan, cells, first, last);
    for (std::size_t i = 0; i < routes.size(); ++i) {
        try {
            auto check = passage::check(tracks[i], timetables[i], hazards, conditions);
            if (check.tested.not_covered_m >= tracks[i].length() - 1e-3)
                refuse_off_chart(routes[i].route, cells);
            report.worst = std::max(report.worst, check.worst);
            auto warnings = warnings_of(check);
            report.routes.push_back(
                {tracks[i], departures[i], timetables[i].arrival(), std::move(check), std::move(warnings)});
        } catch (const Failure& failure) {
            rethrow_with_plan(failure, plan);
        }
    }
    sort_worst_first(diagnostics);
    report.diagnostics = std::move(diagnostics);
    return report;
}

} // namespace dangerline::jobs
