// The anchor report as GeoJSON.
#pragma once

#include <string>

#include "dangerline/jobs/anchor.hpp"

namespace dangerline::overlay {

/// A FeatureCollection with the foreign member of passage_geojson(). Per mark, in the order of the report: a
/// point with role "mark", its swing circle with role "swing_circle", a point with role "fouling" at the
/// nearest place of each object no anchor should go near, and one with role "touch" for what the boat may
/// swing onto. Layout: src/overlay/schema/anchor.schema.json. The same report gives the same bytes.
std::string anchor_geojson(const jobs::AnchorReport& report, const std::string& program_version);

} // namespace dangerline::overlay
