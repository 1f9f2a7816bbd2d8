// The streams of a plan, and what its routes say of speeds and waits.
#pragma once

#include "dangerline/plan/plan.hpp"
#include "plan/section.hpp"

namespace dangerline::plan {

/// Every [[stream]] of the plan; `tides` are those a table may name.
std::vector<StreamSource> read_streams(const Section& head, const std::vector<TideSource>& tides);
/// back, recovery_min, speeds and waits of a [[route]].
void read_timetable(const Section& section, double fastest_kn, RouteEntry& route);
/// The project's own numbers that streams use; none where there are none.
std::vector<std::string> stream_assumptions(const Plan& plan);

} // namespace dangerline::plan
