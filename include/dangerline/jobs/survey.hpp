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
#include "dangerline/survey/allowance.hpp"
#include "dangerline/survey/areas.hpp"

namespace dangerline::jobs {

/// Hazards with a date of their own are shown so far from the routes and marks of a plan, metres (assumption
/// of this project).
inline constexpr double hazards_within_m = metres_per_nautical_mile;

/// A single charted danger that says itself when it was surveyed (SURSTA, SUREND, SORDAT).
struct DatedHazard {
    std::string cls{}, lnam{}, name{};
    std::string what{}; ///< its class in words
    /// Gravest first; by its own dates, and where it does not say when its survey began by the survey around
    /// it.
    std::vector<survey::Flag> flags{};
    survey::Facts facts{}; ///< its own
    survey::Age age{};     ///< by its own dates alone: that of its source is a bound
    int catzoc = 0;        ///< the worst it may lie in
    std::optional<double> charted_depth_m{};
    survey::Allowance allowance{}; ///< survey_m and depth doubt are those of the wide reading
    std::optional<double> off_m{}; ///< metres to the nearest route or mark of the plan, if it has any
    std::string off{};             ///< which one
    geo::Position place{};         ///< there; without a plan its first place
    std::shared_ptr<const geo::Shape> shape{};
    std::string sentence{};
};

/// A cell with its water parted; its areas are in `plane`.
struct SurveyedCell {
    CellNote note;
    std::shared_ptr<const geo::Plane> plane{};
    survey::TrustAreas water{};
    std::vector<geo::PolygonRings> uncovered{}; ///< stated as not covered (M_COVR CATCOV 2) and by no cell
    std::vector<geo::PolygonRings> coverage{};
    bool not_updated = false; ///< last update over survey::chart_days ago, or at an unknown date
    std::vector<std::string>
        assumed{}; ///< what it was judged by, one sentence each: survey::assumptions_of()
    std::vector<DatedHazard> hazards{};
    std::size_t hazards_left_out = 0; ///< too far from the routes and marks
};

/// What is kept of a cell when its areas are gone.
struct SurveyedRow {
    CellNote note;
    bool not_updated = false;
    double water_m2 = 0.0, flagged_m2 = 0.0;
    double survey_m2 = 0.0; ///< flagged, and not only since the chart is not known to be updated
    std::map<survey::Flag, double> by_flag_m2; ///< an area of several flags counts under each
    std::optional<int> oldest_year;            ///< of its dated surveys
    std::size_t hazards = 0, hazards_flagged = 0, hazards_left_out = 0; ///< with a date of their own
    double share() const { return water_m2 > 0.0 ? flagged_m2 / water_m2 : 0.0; }
    /// Square metres that surveys flag times the share they are of all: large and poor comes first. That the
    /// chart is not updated flags all of it, and would rank charts by their size alone.
    double urgency() const { return water_m2 > 0.0 ? survey_m2 * (survey_m2 / water_m2) : 0.0; }
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
    std::vector<RouteOver> over; ///< the gravest flag first, then the longest
};

struct SurveySummary {
    std::optional<CalendarDay> as_of;
    std::vector<SurveyedRow> rows;        ///< the most urgent first, of equal ones the most flagged
    std::vector<CellNote> cells;          ///< in the order they were met
    std::vector<SurveyedRoute> routes;    ///< of a plan
    std::vector<DatedHazard> hazards;     ///< flagged ones near the routes and marks of a plan, gravest first
    std::vector<std::string> assumptions; ///< what all of them were judged by
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
