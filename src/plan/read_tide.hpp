// The tides of a plan.
#pragma once

#include <string>
#include <vector>

#include "dangerline/plan/plan.hpp"
#include "plan/section.hpp"

namespace dangerline::plan {

/// Every [[tide]] of the plan; Failure (plan) where there is none.
std::vector<TideSource> read_tides(const Section& head);
/// Pressure and surge of the table [water].
tide::Weather read_weather(const Section& water);
/// The project's own numbers that these tides use.
std::vector<std::string> tide_assumptions(const std::vector<TideSource>& tides);

} // namespace dangerline::plan
