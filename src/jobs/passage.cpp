#include "dangerline/jobs/passage.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/files/routes.hpp"
#include "dangerline/hazard/build.hpp"
#include "jobs/tide_source.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

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
std::vector<std::string> head_warnings(const plan::Plan& plan, const TideNotes& notes,
                                       const std::string& distrust, Instant first) {
    std::vector<std::string> out;
    if (!distrust.empty())
        out.push_back("the tide can't be relied on: " + distrust);
    out.insert(out.end(), notes.warnings.begin(), notes.warnings.end());
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

/// The bottom along the tracks at the tides of the span; nothing where a tide is not linked or not known.
std::optional<hazard::BottomWindow> bottom_of(const std::vector<passage::Track>& tracks,
                                              const std::vector<chart::Cell>& cells,
                                              const passage::Conditions& c, Instant from, Instant to) {
    const auto low = c.tide.lowest(std::max(from, c.tide.valid_from()), std::min(to, c.tide.valid_to()));
    const auto high = c.tide.highest(std::max(from, c.tide.valid_from()), std::min(to, c.tide.valid_to()));
    if (!low || !high || cells.empty())
        return std::nullopt;
    double least = std::numeric_limits<double>::infinity(), most = -least;
    for (const auto& cell : cells) {
        const auto offset = c.datums.offset_to(cell.header.sdat);
        if (!offset)
            return std::nullopt;
        least = std::min(least, low->height.metres() + *offset);
        most = std::max(most, high->height.metres() + *offset);
    }
    std::vector<geo::Box> boxes;
    for (const auto& track : tracks)
        for (const auto& chord : track.chords())
            boxes.push_back(chord.box());
    return bottom_window(std::move(boxes), c.required.metres(), least, most, c.doubts);
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
    PassageReport report{plan,
                         plane_around(routes, plan),
                         {},
                         plan.as_of.value_or(day_of(*std::min_element(departures.begin(), departures.end()))),
                         passage::required_water(plan.boat, plan.margins).metres(),
                         required_words(plan),
                         tide_words(plan),
                         {},
                         {},
                         {},
                         hazard::Grade::none_found,
                         {}};
    report.cells = cell_notes(cells, report.as_of);
    lay_out(cells, report.plane, diagnostics);
    Instant first = departures.front(), last = departures.front();
    std::vector<passage::Timetable> timetables;
    std::vector<passage::Track> tracks;
    for (std::size_t i = 0; i < routes.size(); ++i) {
        tracks.emplace_back(routes[i].route, report.plane);
        timetables.emplace_back(tracks.back(), departures[i]);
        first = std::min(first, departures[i]);
        last = std::max(last, timetables.back().arrival());
    }
    const auto tide = tide_at(plan, routes, first - day_s, last + day_s);
    passage::Conditions conditions{plan.boat,           passage::required_water(plan.boat, plan.margins),
                                   tide.doubts,         tide.station.prediction.curve,
                                   tide.station.datums, plan.sea,
                                   tide_distrust(plan)};
    if (tide::is_doubtful(tide.station.prediction, first, last))
        conditions.tide_doubtful = "rise and fall differ by more than 1.5 h";
    const auto hazards = hazard::build(
        cells, diagnostics,
        {bottom_of(tracks, cells, conditions, first - day_s, last + day_s), report.as_of, bounds_of(tracks)});
    auto notes = cells.empty() ? TideNotes{}
                               : tide_notes(plan, conditions.datums.offset_to(cells.front().header.sdat),
                                            "chart datum", first, last);
    report.warnings = head_warnings(plan, notes, conditions.tide_distrust, first);
    report.tide_words = tide.words;
    report.tide_notes = std::move(notes.lines);
    report.tide_notes.insert(report.tide_notes.end(), tide.notes.begin(), tide.notes.end());
    if (conditions.doubts.tide_height_m > plan.doubts.tide_height_m ||
        conditions.doubts.tide_time_s > plan.doubts.tide_time_s)
        report.tide_notes.push_back(
            fmt::format("doubt taken: {:.1f} m and {:.0f} min, for a secondary port or a "
                        "station over 10 NM away",
                        conditions.doubts.tide_height_m, conditions.doubts.tide_time_s / 60.0));
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
