// What the standards say a survey may be wrong by.
#pragma once

#include <optional>
#include <string_view>

namespace dangerline::survey {

/// 95 % doubt of a charted depth: a + b * depth, metres; heights that dry count as depth 0.
struct DepthDoubt {
    double a_m = 0.0;
    double b = 0.0;
    double at(double depth_m) const { return a_m + b * (depth_m > 0.0 ? depth_m : 0.0); }
};

/// A zone of confidence (CATZOC) as IHO S-68 Ed 1.0.0 Annex A Table A-1 gives it (quoting S-57 Ed 3.1 Supp
/// 3).
struct ZoneOfConfidence {
    int code = 0;                   ///< S-57 CATZOC, 1 A1 to 6 U; 0 where the chart gives none
    std::string_view name;          ///< "A1" ... "U", "none"
    double position_m = 0.0;        ///< 95 %, fixed part
    double position_of_depth = 0.0; ///< plus this share of the depth
    DepthDoubt depth;
    bool at_least = false;   ///< D, U and none have no figures: C's are taken as a minimum
    std::string_view survey; ///< what kind of survey, in words
};

/// Row for a CATZOC code; any code outside 1 to 6 gets the row "none", with C's figures as a minimum.
const ZoneOfConfidence& zone_of_confidence(int catzoc);

/// Position doubt of the zone for a depth, metres.
double position_doubt(const ZoneOfConfidence& zone, double depth_m);

/// Total vertical uncertainty of IHO S-44 Ed 6.1.0 Table 1: sqrt(a^2 + (b d)^2), 95 %, metres.
/// `order` is "Exclusive", "Special", "1a", "1b" or "2"; nothing for any other.
std::optional<double> s44_vertical(std::string_view order, double depth_m);
/// Total horizontal uncertainty of the same table: fixed part + share of the depth, 95 %, metres.
std::optional<double> s44_horizontal(std::string_view order, double depth_m);

} // namespace dangerline::survey
