#include "dangerline/jobs/passage.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/files/routes.hpp"
#include "dangerline/hazard/build.hpp"
#include "jobs/streams.hpp"
#include "jobs/tides_along.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

constexpr long stale_days = 90, very_stale_days = 365;

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

/// What the skipper must hear before anything else: of the tide's datum, of what it lacks, of the day ages
/// are reckoned at.
std::vector<std::string> head_warnings(const plan::Plan& plan, const std::vector<std::string>& distrusts,
                                       const std::vector<std::string>& levels, Instant first) {
    std::vector<std::string> out;
    for (const auto& distrust : distrusts)
        out.push_back("the tide can't be relied on: " + distrust);
    out.insert(out.end(), levels.begin(), levels.end());
    if (plan.as_of && days_between(*plan.as_of, day_of(first)) > 0)
        out.push_back(fmt::format("ages are reckoned at {}, before the departure on {}", to_text(*plan.as_of),
                                  to_text(day_of(first))));
    return out;
}

geo::Box bounds_of(const std::vector<passage::Track>& tracks) {
    geo::Box box = tracks.front().chords().front().box();
    for (const auto& track : tracks)
        for (const auto& chord : track.chords())
            box = {std::min(box.min_x, chord.box().min_x), std::min(box.min_y, chord.box().min_y),
                   std::max(box.max_x, chord.box().max_x), std::max(box.max_y, chord.box().max_y)};
    return box;
}

/// Adds the plan's name to a failure that arose deeper down.
[[noreturn]] void rethrow_with_plan(const Failure& failure, const plan::Plan& plan) {
    Complaint c = failure.complaint();
    if (c.file.empty() && failure.fault() == Fault::plan)
        c.file = plan.file.string();
    throw Failure(failure.fault(), c);
}

} // namespace

std::vector<CellNote> cell_notes(const std::vector<chart::Cell>& cells,
                                 const std::optional<CalendarDay>& day) {
    std::vector<CellNote> notes;
    for (const auto& cell : cells) {
        CellNote n{cell.name,
                   cell.edition,
                   cell.update,
                   cell.issued,
                   day ? chart::days_since_update(cell, *day) : std::nullopt,
                   static_cast<int>(cell.header.cscl)};
        if (n.days_since.value_or(0) < 0) // on that day this update was not there
            n.days_since.reset();
        n.notes = cell.notes;
        if (n.notes) {
            notes.push_back(std::move(n));
            continue;
        }
        n.stale = n.days_since.value_or(very_stale_days + 1) > stale_days;
        n.very_stale = n.days_since.value_or(very_stale_days + 1) > very_stale_days;
        notes.push_back(std::move(n));
    }
    return notes;
}

namespace {

/// When the plan's boats are under way, streams left out.
struct Span {
    Instant first, last;
};
Span under_way(const std::vector<passage::Track>& tracks, const std::vector<Instant>& departures,
               const std::vector<PlannedRoute>& routes) {
    Span span{departures.front(), departures.front()};
    for (std::size_t i = 0; i < tracks.size(); ++i) {
        double waits_s = routes[i].recovery_s;
        for (const auto& wait : routes[i].waits)
            waits_s += wait.seconds + (wait.until ? 86400.0 : 0.0);
        span.first = std::min(span.first, departures[i]);
        span.last = std::max(span.last, passage::Timetable(tracks[i], departures[i]).arrival() + waits_s);
    }
    return span;
}

/// Streams may make a passage this much longer than it is without.
double spare_s(const Span& span) {
    constexpr double least_s = 6.0 * 3600.0;
    return std::max(least_s, span.last - span.first);
}

passage::Timetable timetable_of(const passage::Track& track, const PlannedRoute& planned,
                                const plan::Plan& plan, const Streams& streams, const Span& span,
                                Instant departure) {
    using Luck = passage::Voyage::Settings::Luck;
    const auto voyage = [&](Luck luck) {
        return voyage_of(track, planned, plan, streams, span.first - 3600.0, span.last + spare_s(span), 1.0,
                         luck);
    };
    passage::Timetable times(voyage(Luck::none), departure);
    if (streams.map && plan.sea.rate_mps)
        times.allow(voyage(Luck::early), voyage(Luck::late));
    return times;
}

passage::Conditions conditions_of(const plan::Plan& plan) {
    passage::Conditions conditions{
        plan.boat, passage::required_water(plan.boat, plan.margins), plan.doubts, {}, plan.sea};
    if (plan.wind)
        conditions.wind_from_deg = plan.wind->from_deg;
    return conditions;
}

} // namespace

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
    auto cells = read_charts(plan, routes, diagnostics);
    PassageReport report{plan, plane_around(routes, plan)};
    report.as_of = plan.as_of.value_or(day_of(*std::min_element(departures.begin(), departures.end())));
    report.required_m = passage::required_water(plan.boat, plan.margins).metres();
    report.required_words = required_words(plan);
    report.cells = cell_notes(cells, report.as_of);
    lay_out(cells, report.plane, diagnostics);
    std::vector<passage::Track> tracks;
    for (const auto& planned : routes)
        tracks.emplace_back(planned.route, report.plane);
    const Span span = under_way(tracks, departures, routes);
    TidesAlong tides(plan, span.first, span.last + spare_s(span));
    const auto hazards =
        hazard::build(cells, diagnostics,
                      {tides.bottom(tracks, cells, report.required_m), report.as_of, bounds_of(tracks)});
    std::optional<Streams> streams;
    try {
        tides.lay(report.plane, hazards, tracks);
        streams = read_streams(plan, report.plane, cells, land_of(hazards), span.first - 3600.0,
                               span.last + spare_s(span));
    } catch (const Failure& failure) {
        rethrow_with_plan(failure, plan);
    }
    report.streams = streams->map != nullptr;
    report.stream_notes = streams->notes;
    auto conditions = conditions_of(plan);
    const auto chart_code = cells.empty() ? std::nullopt : std::optional(cells.front().header.sdat);
    std::vector<std::string> distrusts;
    for (std::size_t i = 0; i < tracks.size(); ++i)
        if (auto why = tides.distrust(i);
            !why.empty() && std::find(distrusts.begin(), distrusts.end(), why) == distrusts.end())
            distrusts.push_back(std::move(why));
    TideNotes notes = tides.notes(chart_code);
    report.warnings = head_warnings(plan, distrusts, notes.warnings, span.first);
    report.tide_words = tides.words();
    report.tide_notes = std::move(notes.lines);
    for (std::size_t i = 0; i < routes.size(); ++i) {
        try {
            conditions.tides = tides.along(i);
            conditions.tide_distrust = tides.distrust(i);
            auto times = timetable_of(tracks[i], routes[i], plan, *streams, span, departures[i]);
            auto check = passage::check(tracks[i], times, hazards, conditions);
            if (check.tested.not_covered_m >= tracks[i].length() - 1e-3)
                refuse_off_chart(routes[i].route, cells);
            report.worst = std::max(report.worst, check.worst);
            auto warnings = warnings_of(check);
            for (auto& warning : tides.warnings(i))
                warnings.push_back(std::move(warning));
            auto legs = passage::legs_of(tracks[i], times);
            report.routes.push_back(
                {tracks[i], std::move(times), std::move(legs), std::move(check), std::move(warnings)});
        } catch (const Failure& failure) {
            rethrow_with_plan(failure, plan);
        }
    }
    sort_worst_first(diagnostics);
    report.diagnostics = std::move(diagnostics);
    return report;
}

} // namespace dangerline::jobs
