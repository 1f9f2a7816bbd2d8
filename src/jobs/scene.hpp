// Everything a job needs that follows routes: charts, hazards, tides and streams along them. Private to the
// room.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/error.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/jobs/load.hpp"
#include "dangerline/jobs/passage.hpp"
#include "jobs/streams.hpp"
#include "jobs/tides_along.hpp"

namespace dangerline::jobs {

class Scene {
  public:
    /// `first` to `last`: when the boats may be under way. `as_of`: the day ages are reckoned at. Failures:
    /// as the loaders'. `plan` and `plane` must outlive it.
    Scene(const plan::Plan& plan, const geo::Plane& plane, std::vector<PlannedRoute> routes,
          const CalendarDay& as_of, Instant first, Instant last, Diagnostics& diagnostics);

    const std::vector<PlannedRoute>& routes() const { return routes_; }
    const std::vector<passage::Track>& tracks() const { return tracks_; }
    const std::vector<chart::Cell>& cells() const { return cells_; }
    const hazard::Hazards& hazards() const { return hazards_; }
    const TidesAlong& tides() const { return *tides_; }
    const Streams& streams() const { return streams_; }
    /// Of one route; nothing that depends on a departure.
    passage::Conditions conditions(std::size_t route) const;
    passage::Voyage
    voyage(std::size_t route, Instant from, Instant to, double speed_factor = 1.0,
           passage::Voyage::Settings::Luck luck = passage::Voyage::Settings::Luck::none) const;
    /// Joins further hazards to those of the charts.
    void add(std::vector<hazard::Hazard> more);
    /// Whether a largest rate is stated for unknown streams.
    bool bounded() const;
    /// Sounding datum of the first chart; nothing without charts.
    std::optional<int> chart_code() const;
    /// Reasons not to believe a tide, each once; what looks wrong about its levels; an `as_of` before the
    /// first departure. To be said first.
    std::vector<std::string> warnings(const TideNotes& notes) const;
    /// Failure (data) where no part of a route of that check lies on a chart.
    void require_chart(std::size_t route, const passage::Check& check) const;

  private:
    const plan::Plan& plan_;
    std::vector<PlannedRoute> routes_;
    std::vector<passage::Track> tracks_;
    std::vector<chart::Cell> cells_;
    std::optional<TidesAlong> tides_;
    hazard::Hazards hazards_;
    Streams streams_;
    Instant first_;
};

/// Adds the plan's name to a failure that arose deeper down.
[[noreturn]] void rethrow_with_plan(const Failure& failure, const plan::Plan& plan);
/// Failure (plan) where the plan names no route.
std::vector<PlannedRoute> needed_routes(const plan::Plan& plan, Diagnostics& diagnostics);
/// What must be said of a check beside its findings.
std::vector<std::string> warnings_of(const passage::Check& check);

} // namespace dangerline::jobs
