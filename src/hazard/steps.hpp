// From one charted object and one rule to steps.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/chart/feature.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/hazard/rules.hpp"

namespace dangerline::hazard {

struct StepList {
    std::vector<Step> steps;
    std::string what;                         ///< refined words, may be empty
    std::optional<std::string> contradiction; ///< to be reported
    bool mark = false;
};

/// Of a place of which nothing is known: unknown at any tide.
Step unknown_step(std::shared_ptr<const geo::Shape> extent, std::string basis);

/// Steps of a feature under a rule; empty where the rule finds it harmless. Soundings are not handled here.
StepList steps_for(const chart::Feature& feature, const Rule& rule);

/// One sounding; NaN = depth not known.
StepList sounding_steps(const chart::Feature& group, double depth_m, std::shared_ptr<const geo::Shape> place);

/// Marks are danger to a line that passes within this distance, metres (an assumption of this project).
inline constexpr double mark_clearance_m = 15.0;

} // namespace dangerline::hazard
