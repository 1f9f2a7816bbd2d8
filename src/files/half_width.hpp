// The property `half_width` of a drawn line.
#pragma once

#include "dangerline/files/routes.hpp"

#include <string>

class OGRFeature;

namespace dangerline::files {

/// Fills half_width_m or leg_half_widths_m of a route whose places are known; leaves both as they are where
/// the feature has no such property. Throws Failure (Fault::data) for anything that isn't one number of
/// metres or one per leg, each within the limits.
void read_half_width(const OGRFeature& feature, const std::string& file, const std::string& object,
                     DrawnRoute& route);

} // namespace dangerline::files
