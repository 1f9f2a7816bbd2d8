#include "dangerline/jobs/passage.hpp"

#include "dangerline/base/error.hpp"
#include "jobs/departures.hpp"
#include "jobs/scene.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

constexpr long stale_days = 90, very_stale_days = 365;

/// Surfaces are laid for the hazards already.
hazard::BottomBounds bottom_at_places(const Scene& scene) {
    constexpr double around_m = 1000.0;
    std::vector<geo::Box> near;
    for (const auto& track : scene.tracks())
        for (const double s : track.place_coordinates()) {
            const auto at = track.point_at(s);
            near.push_back(geo::Box{at.x, at.y, at.x, at.y}.grown(around_m));
        }
    return {scene.cells(), std::move(near), false, scene.hazards().quality.get()};
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
        n.newer = cell.newer;
        if (n.notes || n.newer) {
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

passage::Timetable timetable_of(const Scene& scene, std::size_t route, const UnderWay& span,
                                Instant departure) {
    using Luck = passage::Voyage::Settings::Luck;
    const auto voyage = [&](Luck luck) {
        return scene.voyage(route, span.first - 3600.0, span.last + spare_s(span), 1.0, luck);
    };
    passage::Timetable times(voyage(Luck::none), departure);
    if (scene.bounded())
        times.allow(voyage(Luck::early), voyage(Luck::late));
    return times;
}

} // namespace

PassageReport run_passage(const plan::Plan& plan, const std::optional<std::string>& depart) {
    Diagnostics diagnostics;
    auto routes = needed_routes(plan, diagnostics);
    const auto departures = departures_of(plan, routes, depart);
    PassageReport report{plan, plane_around(routes, plan)};
    report.as_of = plan.as_of.value_or(day_of(*std::min_element(departures.begin(), departures.end())));
    report.required_m = passage::required_water(plan.boat, plan.margins).metres();
    report.required_words = required_words(plan);
    const UnderWay span = under_way(routes, departures, report.plane);
    Scene scene(plan, report.plane, std::move(routes), report.as_of, span.first, span.last + spare_s(span),
                diagnostics);
    report.cells = cell_notes(scene.cells(), report.as_of);
    report.streams = scene.streams().map != nullptr;
    report.stream_notes = scene.streams().notes;
    TideNotes notes = scene.tides().notes(scene.chart_code());
    report.warnings = scene.warnings(notes);
    report.tide_words = scene.tides().words();
    report.tide_notes = std::move(notes.lines);
    report.tried = read_tried(plan, report.plane, report.as_of, scene.cells(), diagnostics);
    scene.add(shoals_of(report.tried, report.plane));
    const auto tried = std::make_shared<const std::vector<passage::TriedRun>>(runs_that_count(report.tried));
    const auto bottom = bottom_at_places(scene);
    for (std::size_t i = 0; i < scene.routes().size(); ++i) {
        const auto& track = scene.tracks()[i];
        try {
            auto times = timetable_of(scene, i, span, departures[i]);
            auto conditions = scene.conditions(i);
            conditions.tried = tried;
            auto check = passage::check(track, times, scene.hazards(), conditions);
            scene.require_chart(i, check);
            report.worst = std::max(report.worst, check.worst);
            auto warnings = warnings_of(check);
            for (auto& warning : scene.tides().warnings(i))
                warnings.push_back(std::move(warning));
            auto legs = passage::legs_of(track, times);
            auto checkpoints =
                passage::checkpoints_of(track, times, scene.hazards(), bottom, scene.conditions(i));
            report.routes.push_back({track, std::move(times), std::move(legs), std::move(checkpoints),
                                     std::move(check), std::move(warnings)});
        } catch (const Failure& failure) {
            rethrow_with_plan(failure, plan);
        }
    }
    sort_worst_first(diagnostics);
    report.diagnostics = std::move(diagnostics);
    return report;
}

} // namespace dangerline::jobs
