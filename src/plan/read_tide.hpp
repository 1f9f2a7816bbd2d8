// The tides of a plan.
#pragma once

#include <string>
#include <vector>

#include "dangerline/plan/plan.hpp"
#include "plan/section.hpp"

namespace dangerline::plan {

/// Every [[tide]] of the plan; Failure (plan) where there is none.
std::vector<TideSource> read_tides(const Section& head);
/// A pair of longitude and latitude; Failure (plan) for anything else, saying where they look swapped.
geo::Position read_position(const Section& section, const std::string& key, const TomlValue& value);
/// Pressure and surge of the table [water].
tide::Weather read_weather(const Section& water);
/// The project's own numbers that these tides use.
std::vector<std::string> tide_assumptions(const std::vector<TideSource>& tides);

} // namespace dangerline::plan
