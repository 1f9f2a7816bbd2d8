// The season job: each route of a plan at every departure.
#pragma once

#include <string>
#include <vector>

#include "dangerline/jobs/passage.hpp"
#include "dangerline/passage/windows.hpp"

namespace dangerline::jobs {

struct SeasonRoute {
    passage::Track track;
    passage::Season season;
    bool there_and_back = false;
    std::vector<std::string> warnings; ///< of the tides along it
};

struct SeasonReport {
    plan::Plan plan;
    geo::Plane plane;
    std::vector<CellNote> cells{};
    CalendarDay as_of{};
    double required_m = 0.0;
    std::string required_words{};
    std::string tide_words{};
    std::vector<std::string> tide_notes{};
    bool streams = false; ///< reckoned with; else speeds are over the ground
    std::vector<std::string> stream_notes{};
    std::vector<std::string> warnings{};
    Interval asked{}; ///< departures
    std::vector<SeasonRoute> routes{};
    Diagnostics diagnostics{}; ///< worst first
};

/// Runs the job for the plan's [season]; ages are reckoned at as_of, or at its first day. Failures: as the
/// passage job's; a plan without a season (plan).
SeasonReport run_season(const plan::Plan& plan);

} // namespace dangerline::jobs
