// The passage job: each route of a plan at one departure.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/jobs/load.hpp"
#include "dangerline/jobs/tried.hpp"
#include "dangerline/passage/check.hpp"
#include "dangerline/passage/checkpoints.hpp"
#include "dangerline/passage/legs.hpp"
#include "dangerline/tide/summary.hpp"

namespace dangerline::jobs {

/// A cell as outputs name it.
struct CellNote {
    std::string name;
    int edition = 0;
    int update = 0;
    std::string issued;             ///< CCYYMMDD as stated
    std::optional<long> days_since; ///< from the issue of its last update to the day of use
    int scale = 0;
    bool stale = false;      ///< over 90 days
    bool very_stale = false; ///< over 365 days, or an age that can't be reckoned
    bool notes = false;      ///< local notes, each with its own date: no update to wait for
    bool newer{};            ///< newer data beside the charts
};

struct CheckedRoute {
    passage::Track track;
    passage::Timetable times;
    std::vector<passage::LegSheet> legs;
    std::vector<passage::Checkpoint> checkpoints;
    passage::Check check;
    std::vector<std::string> warnings; ///< no hazard near a coast, the route is partly off the chart
};

struct PassageReport {
    plan::Plan plan;
    geo::Plane plane;
    std::vector<CellNote> cells{};
    CalendarDay as_of{};
    double required_m = 0.0;
    std::string required_words{}; ///< "0.6 draught + 0.3 squat + ..."
    std::string tide_words{};
    std::vector<std::string> tide_notes{};   ///< lowest, mean, highest of the years used
    bool streams = false;                    ///< reckoned with; else speeds are over the ground
    std::vector<std::string> stream_notes{}; ///< what streams are used, and what can't be
    std::vector<std::string> warnings{};     ///< about tide or dates: to be said first
    std::vector<CheckedRoute> routes{};
    hazard::Grade worst = hazard::Grade::none_found;
    Diagnostics diagnostics{};         ///< worst first
    std::vector<TriedOutcome> tried{}; ///< runs that were made, also those that count for nothing
};

/// Runs the job; `depart` overrides the plan's departures (local time of the plan's zone, or UTC with Z).
/// Failures: as the loaders'; no departure; unequal datums without a number (plan); no part of a route on any
/// chart (data; says so where longitude and latitude look exchanged).
PassageReport run_passage(const plan::Plan& plan, const std::optional<std::string>& depart);

/// One note a cell, reckoned at `day`. Where there is no day, where a cell's date can't be read and where it
/// lies after the day, the age is not known and counts as more than a year.
std::vector<CellNote> cell_notes(const std::vector<chart::Cell>& cells,
                                 const std::optional<CalendarDay>& day);

} // namespace dangerline::jobs
