// Newer data as cells to be compared. Private to the room.
#pragma once

#include <memory>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/jobs/load.hpp"
#include "dangerline/jobs/newer.hpp"
#include "jobs/near.hpp"

namespace dangerline::jobs {

/// One [[newer]], read and laid out.
struct NewerData {
    std::vector<chart::Cell> cells;            ///< one of a vector source; several editions of cells
    std::set<std::string> classes;             ///< it claims to hold
    bool every_class = false;                  ///< another edition of cells: it holds what a chart does
    std::string dated;                         ///< see NewerOutcome
    std::shared_ptr<const geo::Shape> covered; ///< null where it does not say where it is whole
    NewerOutcome::LeftOut left_out{};
};

/// Told and joined with the hazards is what comes so near to the routes and marks of a plan.
inline constexpr double told_within_m = 3.0 * metres_per_nautical_mile;

/// What newer data are read for.
struct NewerFor {
    const plan::Plan& plan;
    const geo::Plane& plane;
    const std::vector<PlannedRoute>& routes;
    const Near& near;                      ///< of routes and marks
    const std::vector<chart::Cell>& cells; ///< laid out and settled
    const std::optional<CalendarDay>& as_of;
};

/// Whether objects of a class are compared at all: not the skin of the earth, soundings, contours and meta
/// objects, which are no single things.
bool is_comparable(const chart::Feature& f);

/// Failures and diagnostics, and what is left out, as join_newer() says.
NewerData read_newer(const plan::NewerSource& source, const NewerFor& asked, Diagnostics& diagnostics);

} // namespace dangerline::jobs
