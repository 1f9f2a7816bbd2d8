// What every job needs first: the charts a plan names, in one plane around its routes.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/chart/extent.hpp"
#include "dangerline/geo/plane.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/passage/route.hpp"
#include "dangerline/plan/plan.hpp"
#include "dangerline/tide/stations.hpp"

namespace dangerline::jobs {

/// A route with what its entry in the plan says of departures.
struct PlannedRoute {
    passage::Route route;
    std::optional<std::string> depart; ///< as written
    int plan_line = 0;
    std::vector<plan::RouteWait> waits{}; ///< in the order of the plan
    double recovery_s = 0.0;              ///< the boat stays so long where it arrives
};

/// The routes a plan names, its own words before those of the file, defaults last. Failures: those of
/// files::read_routes; a `pick` that names no line; half-widths that do not fit the legs.
std::vector<PlannedRoute> read_routes(const plan::Plan& plan, Diagnostics& diagnostics);

/// Reads the charts of a plan. Where there are routes, of a folder, an exchange set or an archive only the
/// cells are read whose bounds come within 3 NM of one; where none does, all. Failures: those of
/// chart::find_sources, chart::read_found_cell and chart::read_vector_chart; statements about a source that
/// is no vector source (plan). With `plane` the objects of cells are laid out in it at the same time, and
/// those whose place nothing asks for (hazard::is_placed) are left out.
std::vector<chart::Cell> read_charts(const plan::Plan& plan, const std::vector<PlannedRoute>& routes,
                                     Diagnostics& diagnostics, const geo::Plane* plane = nullptr);

/// The same of the cells that meet any of the boxes; where none does, all.
std::vector<chart::Cell> read_charts_near(const plan::Plan& plan, const std::vector<chart::LonLatBox>& boxes,
                                          Diagnostics& diagnostics, const geo::Plane* plane = nullptr);

/// Lays all cells out in the plane and settles which rules where.
void lay_out(std::vector<chart::Cell>& cells, const geo::Plane& plane, Diagnostics& diagnostics);

/// A plane around all routes. Failure (plan) where they spread over more than its working radius.
geo::Plane plane_around(const std::vector<PlannedRoute>& routes, const plan::Plan& plan);

/// A place with the words it is complained about by: "mark \"Ledge Mark\"".
struct NamedPlace {
    std::string words{};
    geo::Position position{};
};
/// A plane around one place or more; `what` they are: "marks". Failure (plan) as above.
geo::Plane plane_around(const std::vector<NamedPlace>& places, const std::string& what,
                        const plan::Plan& plan);

/// A plane around the middle of the first cell that has any object.
geo::Plane plane_around(const std::vector<chart::Cell>& cells);

/// "0.6 draught + 0.3 squat + 1.0 under the keel + 0.5 waves".
std::string required_words(const plan::Plan& plan);

/// The one station that counts for the routes, with its doubts at the place of them farthest from it.
struct TideAtRoutes {
    tide::Station station;
    passage::Doubts doubts;           ///< of the plan, wider for a secondary port and beyond 10 NM
    std::string words;                ///< of its source
    std::vector<std::string> notes{}; ///< gaps, doubtful shape, weather left out
};
/// Good from `from` to `to` as far as its files go. Failure (plan) where several stations count: the passage
/// knows one only.
TideAtRoutes tide_at(const plan::Plan& plan, const std::vector<PlannedRoute>& routes, Instant from,
                     Instant to);

/// Where and at which levels the bottom is to be worked out: `around` what is asked about, grown by the reach
/// of every reading; for heights of the tide from `lowest_m` to `highest_m` above chart datum.
hazard::BottomWindow bottom_window(std::vector<geo::Box> around, double required_m, double lowest_m,
                                   double highest_m, const passage::Doubts& doubts);

} // namespace dangerline::jobs
