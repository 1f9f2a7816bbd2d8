#include "dangerline/jobs/stream.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/load.hpp"
#include "dangerline/jobs/stations.hpp"
#include "jobs/span.hpp"
#include "jobs/streams.hpp"

namespace dangerline::jobs {

StreamReport run_stream(const plan::Plan& plan, geo::Position place, const std::string& from,
                        const std::string& to, double step_s) {
    const auto asked = asked_times(plan, from, to, step_s);
    StreamReport report{plan, place, {}, {}, {}};
    PlannedRoute here;
    here.route.name = "the place asked for";
    here.route.places = {place, place};
    const geo::Plane plane(place);
    auto cells = read_charts(plan, {here}, report.diagnostics, &plane);
    lay_out(cells, plane, report.diagnostics);
    Streams streams = read_streams(plan, plane, cells, land_of(cells), asked.from, asked.to);
    report.notes = std::move(streams.notes);
    if (!streams.map)
        throw Failure(Fault::plan,
                      {.file = plan.file.string(),
                       .object = "stream",
                       .what = "neither the plan nor its charts tell of streams near this place",
                       .expected = "a [[stream]] table, or a chart with panels that name a [[tide]]"});
    const auto at = plane.to_plane(place);
    for (int k = 0; asked.from + k * step_s <= asked.to; ++k)
        report.rows.push_back({asked.from + k * step_s, streams.map->at(at, asked.from + k * step_s)});
    sort_worst_first(report.diagnostics);
    return report;
}

} // namespace dangerline::jobs
