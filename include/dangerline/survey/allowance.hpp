// How much a charted object may be wrong by, in place and in depth.
#pragma once

#include <optional>

#include "dangerline/survey/standards.hpp"

namespace dangerline::survey {

struct Allowance {
    double position_m = 0.0; ///< radius the close reading adds
    double survey_m = 0.0;   ///< radius the wide reading adds; never less than position_m
    DepthDoubt depth;        ///< of the zone
    double souacc_m = 0.0;   ///< SOUACC of the object, 0 where none
    int catzoc = 0;          ///< 0 where no quality zone covers it
    bool at_least = false;   ///< the figures are a minimum

    /// 95 % survey doubt of a depth: the larger of SOUACC and the zone's a + b * depth.
    double depth_doubt(double depth_m) const {
        const double zone = depth.at(depth_m);
        return souacc_m > zone ? souacc_m : zone;
    }
};

/// What is known of an object's place and depth.
struct Provenance {
    int scale = 0;                  ///< compilation scale of its cell, 0 = not stated
    std::optional<int> quapos;      ///< worst code of its geometry
    std::optional<double> posacc_m; ///< largest of its geometry
    std::optional<double> souacc_m;
    int catzoc = 0;       ///< worst zone that covers it, 0 = none
    double depth_m = 0.0; ///< for the share of depth in A1
};

/// Radius for a quality of position: surveyed, precisely known, calculated 0; approximate, estimated the
/// larger of 1.5 mm at scale and 50 m; all others 500 m (assumptions of this project).
double quapos_radius(int quapos, int scale);

/// position = the largest of 0.5 mm at scale, QUAPOS radius, POSACC and the zone's position (at most 50 m);
/// survey = the zone's full position, at least position. A cell without a scale counts as 1:1,000,000.
Allowance allowance_for(const Provenance& known);

/// The worse of two zone codes: A1 < A2 < B < C < D < U < none.
int worse_zone(int a, int b);

} // namespace dangerline::survey
