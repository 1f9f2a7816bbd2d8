// Newer data as cells to be compared. Private to the room.
#pragma once

#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/jobs/load.hpp"

namespace dangerline::jobs {

/// One [[newer]], read and laid out.
struct NewerData {
    std::vector<chart::Cell> cells;            ///< one of a vector source; several editions of cells
    std::set<std::string> classes;             ///< it claims to hold
    bool every_class = false;                  ///< another edition of cells: it holds what a chart does
    std::string dated;                         ///< see NewerOutcome
    std::shared_ptr<const geo::Shape> covered; ///< null where it does not say where it is whole
};

/// Whether objects of a class are compared at all: not the skin of the earth, soundings, contours and meta
/// objects, which are no single things.
bool is_comparable(const chart::Feature& f);

/// Failures and diagnostics as join_newer() says. Objects beyond 10 NM of the routes are dropped.
NewerData read_newer(const plan::NewerSource& source, const plan::Plan& plan, const geo::Plane& plane,
                     const std::vector<PlannedRoute>& routes, const std::optional<CalendarDay>& as_of,
                     Diagnostics& diagnostics);

} // namespace dangerline::jobs
