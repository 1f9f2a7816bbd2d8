// The marks of a plan.
#pragma once

#include <vector>

#include "dangerline/plan/plan.hpp"
#include "plan/section.hpp"

namespace dangerline::plan {

/// Every [[mark]]; Failure (plan) for two of one name.
std::vector<MarkEntry> read_marks(const Section& head, const TimeZone& zone);

} // namespace dangerline::plan
