// The survey job: how far charts can be believed, and what a club should renew or sound again first.
#pragma once

#include <filesystem>
#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/base/time.hpp"
#include "dangerline/geo/plane.hpp"
#include "dangerline/jobs/passage.hpp"
#include "dangerline/plan/plan.hpp"
#include "dangerline/survey/areas.hpp"

namespace dangerline::jobs {

/// A cell with its water parted; its areas are in `plane`.
struct SurveyedCell {
    CellNote note;
    std::shared_ptr<const geo::Plane> plane{};
    survey::TrustAreas water{};
    std::vector<geo::PolygonRings> uncovered{}; ///< stated as not covered (M_COVR CATCOV 2) and by no cell
    std::vector<geo::PolygonRings> coverage{};
    bool not_updated = false; ///< last update over survey::chart_days ago, or at an unknown date
};

/// What is kept of a cell when its areas are gone.
struct SurveyedRow {
    CellNote note;
    bool not_updated = false;
    double water_m2 = 0.0, flagged_m2 = 0.0;
    std::map<survey::Flag, double> by_flag_m2; ///< an area of several flags counts under each
    std::optional<int> oldest_year;            ///< of its dated surveys
    double share() const { return water_m2 > 0.0 ? flagged_m2 / water_m2 : 0.0; }
    /// Flagged square metres times the share they are of all: large and poor comes first.
    double urgency() const { return flagged_m2 * share(); }
};

/// How much of a route lies over what.
struct RouteOver {
    std::string cell;
    std::vector<survey::Flag> flags; ///< empty: unflagged water
    std::string sentence;
    double metres = 0.0;
};
struct SurveyedRoute {
    std::string name;
    double length_m = 0.0;
    double flagged_m = 0.0;     ///< each place once
    double not_covered_m = 0.0; ///< on no chart
    std::map<survey::Flag, double> by_flag_m;
    std::vector<RouteOver> over; ///< the longest first
};

struct SurveySummary {
    std::optional<CalendarDay> as_of;
    std::vector<SurveyedRow> rows;        ///< the most urgent first
    std::vector<CellNote> cells;          ///< in the order they were met
    std::vector<SurveyedRoute> routes;    ///< of a plan
    std::vector<std::string> assumptions; ///< of surveys
    std::size_t refused = 0;              ///< cells that can't be read at all; each has its diagnostic
    Diagnostics diagnostics;              ///< worst first
};

/// Takes the cells one after another, in the order of their names; nothing of a cell is kept after.
using TakeCell = std::function<void(const SurveyedCell&)>;

/// Charts without a plan, each for itself: read, parted, handed over and forgotten, so that memory does not
/// grow with their number; `threads` at a time (0: as many as the machine has). Without `as_of` no age is
/// known. A cell that must be refused does not keep the others from being looked at; where it is the only one
/// its Failure is thrown on.
SurveySummary run_survey(const std::vector<std::filesystem::path>& sources, std::optional<CalendarDay> as_of,
                         const TakeCell& take, unsigned threads = 0);

/// The charts of a plan in one plane, the better ones ruling, with its moving bottoms and its settings; of
/// each route the length over each kind of survey, by its line. Failures: as the loaders'.
SurveySummary run_survey(const plan::Plan& plan, const TakeCell& take);

} // namespace dangerline::jobs
