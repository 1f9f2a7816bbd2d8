// When the routes of a plan are under way. Private to the room.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/jobs/load.hpp"

namespace dangerline::jobs {

/// One departure a route: `override_with`, the route's own, or the plan's. Failures: no departure (plan); a
/// time that can't be read (plan, or command line for the override).
std::vector<Instant> departures_of(const plan::Plan& plan, const std::vector<PlannedRoute>& routes,
                                   const std::optional<std::string>& override_with);

/// When the plan's boats are under way, streams left out.
struct UnderWay {
    Instant first, last;
};
UnderWay under_way(const std::vector<PlannedRoute>& routes, const std::vector<Instant>& departures,
                   const geo::Plane& plane);
/// Streams may make a passage this much longer than it is without.
double spare_s(const UnderWay& span);

} // namespace dangerline::jobs
