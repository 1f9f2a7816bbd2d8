#include "dangerline/jobs/compare.hpp"

#include "dangerline/base/error.hpp"
#include "jobs/day.hpp"
#include "jobs/near.hpp"

#include <algorithm>
#include <iterator>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

void require_something(const plan::Plan& plan, const std::optional<CalendarDay>& as_of) {
    if (plan.newer.empty() && plan.tried.empty())
        throw Failure(Fault::plan,
                      {.file = plan.file.string(),
                       .object = "newer",
                       .what = "the plan names neither newer data nor a tried track",
                       .remedy = "add a [[newer]] table with a file, or a [[tried]] with a recorded track"});
    if (!plan.tried.empty() && !as_of)
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = fmt::format("line {}, tried", plan.tried.front().line),
                                    .what = "its age can't be told: the plan names no day of use",
                                    .remedy = "add as_of = 2026-06-01 or a departure"});
}

} // namespace

CompareReport run_compare(const plan::Plan& plan) {
    Diagnostics diagnostics;
    const auto routes = read_routes(plan, diagnostics);
    const auto as_of = day_of_use(plan, routes);
    require_something(plan, as_of);
    auto cells = read_charts_compared(plan, routes, diagnostics);
    CompareReport report{plan, routes.empty() ? plane_around(cells) : plane_around(routes, plan)};
    report.as_of = as_of;
    report.required_m = passage::required_water(plan.boat, plan.margins).metres();
    report.required_words = required_words(plan);
    report.cells = cell_notes(cells, as_of);
    lay_out(cells, report.plane, diagnostics);
    if (as_of)
        report.tried = read_tried(plan, report.plane, *as_of, cells, diagnostics);
    report.newer = join_newer(plan, report.plane, routes, as_of, cells, diagnostics);
    report.assumptions = plan.newer_assumptions;
    if (!plan.tried.empty()) // their depths are held against tides
        std::copy_if(plan.assumptions.begin(), plan.assumptions.end(), std::back_inserter(report.assumptions),
                     [](const std::string& sentence) { return sentence.starts_with("tide "); });
    sort_worst_first(diagnostics);
    report.diagnostics = std::move(diagnostics);
    return report;
}

} // namespace dangerline::jobs
