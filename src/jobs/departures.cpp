#include "jobs/departures.hpp"

#include <algorithm>
#include <stdexcept>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"
#include "dangerline/passage/timetable.hpp"

namespace dangerline::jobs {

namespace {

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

} // namespace

std::vector<Instant> departures_of(const plan::Plan& plan, const std::vector<PlannedRoute>& routes,
                                   const std::optional<std::string>& override_with) {
    std::vector<Instant> departures;
    for (const auto& planned : routes)
        departures.push_back(departure_of(plan, planned, override_with));
    return departures;
}

UnderWay under_way(const std::vector<PlannedRoute>& routes, const std::vector<Instant>& departures,
                   const geo::Plane& plane) {
    UnderWay span{departures.front(), departures.front()};
    for (std::size_t i = 0; i < routes.size(); ++i) {
        double waits_s = routes[i].recovery_s;
        for (const auto& wait : routes[i].waits)
            waits_s += wait.seconds + (wait.until ? 86400.0 : 0.0);
        const passage::Timetable still(passage::Track(routes[i].route, plane), departures[i]);
        span.first = std::min(span.first, departures[i]);
        span.last = std::max(span.last, still.arrival() + waits_s);
    }
    return span;
}

double spare_s(const UnderWay& span) {
    constexpr double least_s = 6.0 * 3600.0;
    return std::max(least_s, span.last - span.first);
}

} // namespace dangerline::jobs
