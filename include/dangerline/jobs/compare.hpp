// The compare job: newer data against the charts, and members' sounders against them.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/jobs/newer.hpp"
#include "dangerline/jobs/passage.hpp"
#include "dangerline/jobs/tried.hpp"

namespace dangerline::jobs {

struct CompareReport {
    plan::Plan plan;
    geo::Plane plane;
    std::vector<CellNote> cells{};
    std::optional<CalendarDay> as_of{}; ///< nothing: ages are not known
    double required_m = 0.0;
    std::string required_words{};
    std::vector<std::string> assumptions{}; ///< of comparisons and tried tracks alone
    std::vector<NewerOutcome> newer{};      ///< in the order of the plan
    std::vector<TriedOutcome> tried{};
    Diagnostics diagnostics{}; ///< worst first
};

/// Runs the job. Ages are reckoned at as_of, or at the plan's first departure. Failures: as the loaders';
/// join_newer()'s and read_tried()'s; (plan) neither newer data nor tried tracks, tried tracks without a day
/// of use.
CompareReport run_compare(const plan::Plan& plan);

} // namespace dangerline::jobs
