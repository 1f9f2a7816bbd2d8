// A hazard's extent grown for a reading at a tide height, to be drawn.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/geo/regions.hpp"
#include "dangerline/hazard/hazard.hpp"

namespace dangerline::hazard {

enum class ZoneReading { charted, close, wide };
const char* to_text(ZoneReading reading);

struct ZoneSettings {
    Water required = Water::from_metres(0.0);
    double half_width_m = 0.0;
    double tide_height_doubt_m = 0.0;
    std::optional<geo::Box> window; ///< zones are cut to this rectangle
};

/// What of a hazard is in force; `area` is empty where nothing is.
struct ZoneAt {
    Grade grade = Grade::none_found;
    Cause cause = Cause::none;
    double radius_m = 0.0;
    std::optional<double> depth_m;
    bool depth_known = false;
    std::optional<double> critical_tide_m; ///< +infinity = at any tide
    std::string basis;
    std::vector<geo::PolygonRings> area;
};

/// Draws the zones of one hazard. The charted reading grows by the half-width what is in force at the chart's
/// word; the close one adds tide doubt and position radius and what is assumed; the wide one adds survey
/// doubt and survey radius. What only the close or the wide one reaches is caution. Zones nest: a higher tide
/// within a lower one, a narrower reading within a wider. Rough water and overhead clearances are drawn
/// whatever the tide (their condition is not a tide height). Marks are drawn 15 m around. Buffers are made
/// once a radius and kept.
class ZoneMaker {
  public:
    ZoneMaker(const Hazard& hazard, const ZoneSettings& settings);
    ZoneAt at(TideHeight tide, ZoneReading reading) const;

  private:
    struct InForceAs {
        Grade grade = Grade::none_found;
        Cause cause = Cause::none;
    };
    InForceAs in_force(const Step& step, TideHeight tide, ZoneReading reading) const;
    /// Metres that the water of a reading may lack.
    double doubt(double depth_m, ZoneReading reading) const;
    /// What these steps cover together, each grown by its own radius.
    std::vector<geo::PolygonRings> together(const std::vector<const Step*>& steps,
                                            const std::function<double(const Step&)>& radius_of) const;
    const std::vector<geo::PolygonRings>& grown(const Step& step, double radius) const;
    const Hazard& hazard_;
    const ZoneSettings& settings_;
    struct Drawn {
        const geo::Shape* extent;
        double radius;
        std::vector<geo::PolygonRings> area;
    };
    mutable std::vector<Drawn> drawn_;
};

} // namespace dangerline::hazard
