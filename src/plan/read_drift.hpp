// The tables [drift], [[second]] and [[helper]] of a plan.
#pragma once

#include <string>
#include <vector>

#include "dangerline/plan/plan.hpp"
#include "plan/section.hpp"

namespace dangerline::plan {

/// Defaults where the plan has no such table. Adds the project's own numbers left in force to `assumptions`.
DriftAsked read_drift(const Section& head, std::vector<std::string>& assumptions);
std::vector<SecondMeans> read_second_means(const Section& head);
std::vector<HelperEntry> read_helpers(const Section& head, std::vector<std::string>& assumptions);

} // namespace dangerline::plan
