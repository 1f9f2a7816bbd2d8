// Newer data of a plan against its charts: what the charts lack, and how it joins the hazards.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/jobs/load.hpp"
#include "dangerline/survey/compare.hpp"

namespace dangerline::jobs {

/// One difference between a chart and newer data.
struct NewerChange {
    survey::Difference difference{};      ///< its indices say nothing here
    std::string source{};                 ///< name of the newer data
    hazard::ObjectRef newer{}, charted{}; ///< class empty where there is none on that side
    std::string what{};                   ///< class in words
    std::optional<double> newer_depth_m{}, charted_depth_m{};
    std::string sentence{};
    std::vector<std::shared_ptr<const geo::Shape>> shapes{}; ///< newer ones; of what is gone the charted ones
    std::optional<double> off_m{}; ///< metres to the nearest route or mark of the plan, if it has any
    std::string off{};             ///< which one
    geo::Position place{};         ///< of it nearest to that; its first place where there is none
    /// Radius that a solid structure drawn as a point is given among the hazards: stated, or assumed.
    std::optional<double> radius_m{};
};

/// What is told first: more dangerous than charted before what only rules or depths say, gone last.
enum class NewerKind : std::uint8_t { missing, shoaler, moved, larger, rules, deeper, gone };
NewerKind kind_of(const NewerChange& change);
/// "missing from the charts", "shoaler than charted, or charted without a depth", ...
const char* to_text(NewerKind kind);

/// What became of one [[newer]].
struct NewerOutcome {
    std::string name{};
    std::string dated{};                ///< day it was made, or of its last update; empty: not known
    std::size_t compared = 0;           ///< its objects near the routes
    std::size_t charted = 0;            ///< charted ones of its classes
    std::vector<std::string> classes{}; ///< that were compared
    bool gone_judged = false;           ///< it says where it is whole
    /// By kind_of(), of one kind the nearer to routes and marks first; within 3 NM of them, or everywhere
    /// where the plan has no route.
    std::vector<NewerChange> changes{};
    struct LeftOut {
        std::size_t far = 0;         ///< objects more than 10 NM from routes and marks
        std::size_t on_no_chart = 0; ///< objects beyond 3 NM that no chart covers, nor comes near
        std::size_t on_land = 0;     ///< objects beyond 3 NM on land, away from water and chart edges
        std::size_t told_not = 0;    ///< differences more than 3 NM from routes and marks
    } left_out{};
};

/// "objects not compared: 12 on no chart, 3 on land away from charted water"; empty where nothing was left
/// out.
std::string left_out_words(const NewerOutcome& outcome);

/// Holds every [[newer]] against `cells`, laid out and settled, and appends one cell a source with what the
/// charts lack (missing, moved, larger, shoaler), marked uncharted, for hazard::build. Nothing is ever taken
/// away. Where there are routes, told and joined is what comes within 3 NM of them and of the marks, compared
/// what comes within 10; `cells` must reach as far. Beyond 3 NM left out, and counted, is what lies on
/// charted land, away from everything else charted or uncharted by more than 1000 m (both doubts at their
/// most, an assumption of this project), its own stated doubt and `moved_within_m`, or so far off all charts.
///
/// Points of solid structures get the radius they state (half of HORLEN or HORWID), that of the plan, or that
/// of hazard::assumed_radii().
///
/// What can't be compared is said as broken: a layer or value without a class. Failures: those of the
/// readers; (data) an object without a place that can be read; (plan) dated after `as_of`, depths without a
/// stated datum.
std::vector<NewerOutcome> join_newer(const plan::Plan& plan, const geo::Plane& plane,
                                     const std::vector<PlannedRoute>& routes,
                                     const std::optional<CalendarDay>& as_of, std::vector<chart::Cell>& cells,
                                     Diagnostics& diagnostics);

} // namespace dangerline::jobs
