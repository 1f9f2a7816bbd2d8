// Newer data and tried tracks of a plan.
#pragma once

#include <vector>

#include "dangerline/plan/plan.hpp"
#include "plan/section.hpp"

namespace dangerline::plan {

/// Every [[newer]]; Failure (plan) for a class no rule knows, an attribute that is none, two of one name.
std::vector<NewerSource> read_newer(const Section& head);
/// Every [[tried]].
std::vector<TriedEntry> read_tried(const Section& head);
/// The project's own numbers that these use.
std::vector<std::string> newer_assumptions(const Plan& plan);

} // namespace dangerline::plan
