// The table [season] of a plan.
#pragma once

#include "dangerline/plan/plan.hpp"
#include "plan/section.hpp"

namespace dangerline::plan {

/// Nothing where the plan has no such table. Adds the project's own numbers left in force to `assumptions`.
std::optional<SeasonAsked> read_season(const Section& head, std::vector<std::string>& assumptions);

} // namespace dangerline::plan
