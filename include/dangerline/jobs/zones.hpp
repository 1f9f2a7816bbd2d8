// The zones job: every hazard near the routes, grown for a reading, at given tide heights.
#pragma once

#include <vector>

#include "dangerline/hazard/zones.hpp"
#include "dangerline/jobs/passage.hpp"

namespace dangerline::jobs {

/// One hazard at one tide height in one reading.
struct Zone {
    std::size_t hazard = 0; ///< index into ZonesReport::hazards
    hazard::Kind kind = hazard::Kind::depth;
    hazard::ObjectRef object;
    std::string what;
    hazard::Grade grade = hazard::Grade::none_found;
    hazard::Cause cause = hazard::Cause::none;
    hazard::ZoneReading reading = hazard::ZoneReading::charted;
    double tide_m = 0.0;   ///< above the cell's own sounding datum
    double radius_m = 0.0; ///< the hazard was grown by
    std::optional<double> depth_m;
    bool depth_known = false;
    std::optional<double> critical_tide_m; ///< +infinity = at any tide
    std::string reason;
    std::vector<geo::PolygonRings> area; ///< in the plane
};

struct ZonesReport {
    plan::Plan plan;
    geo::Plane plane;
    std::vector<CellNote> cells;
    std::optional<CalendarDay> as_of; ///< nothing: ages are not known
    double required_m = 0.0;
    std::string required_words;
    std::vector<double> tides_m;
    std::vector<Zone> zones;
    std::size_t hazards_tested = 0;
    Diagnostics diagnostics;
};

/// Zones within plan.zones_within_m of the routes (of everything charted where the plan has no route). At a
/// tide height the charted reading grows by the greatest half-width of the routes (50 m where there are none)
/// what is in force at the chart's word; the close one adds tide doubt and position radius, the wide one
/// survey doubt and survey radius: what they add is caution. A zone of a higher tide lies within that of a
/// lower one, a narrower reading within a wider.
ZonesReport run_zones(const plan::Plan& plan, const std::vector<double>& tides_m);

} // namespace dangerline::jobs
