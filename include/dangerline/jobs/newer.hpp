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
};

/// What became of one [[newer]].
struct NewerOutcome {
    std::string name{};
    std::string dated{};                ///< day it was made, or of its last update; empty: not known
    std::size_t compared = 0;           ///< its objects near the routes
    std::size_t charted = 0;            ///< charted ones of its classes
    std::vector<std::string> classes{}; ///< that were compared
    bool gone_judged = false;           ///< it says where it is whole
    std::vector<NewerChange> changes{}; ///< near the routes, or everywhere where there are none
};

/// Holds every [[newer]] against `cells`, laid out and settled, and appends one cell a source with what the
/// charts lack (missing, moved, larger, shoaler), marked uncharted, for hazard::build. Nothing is ever taken
/// away. Told and joined is what comes within 3 NM of the routes, compared what comes within 10.
///
/// What can't be compared is said as broken: a layer or value without a class. Failures: those of the
/// readers; (data) an object without a place that can be read; (plan) dated after `as_of`, depths without a
/// stated datum.
std::vector<NewerOutcome> join_newer(const plan::Plan& plan, const geo::Plane& plane,
                                     const std::vector<PlannedRoute>& routes,
                                     const std::optional<CalendarDay>& as_of, std::vector<chart::Cell>& cells,
                                     Diagnostics& diagnostics);

} // namespace dangerline::jobs
