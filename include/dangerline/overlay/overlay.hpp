// What the jobs found, as GeoJSON (RFC 7946) to lay over a chart.
#pragma once

#include <string>

#include "dangerline/jobs/passage.hpp"
#include "dangerline/jobs/zones.hpp"

namespace dangerline::overlay {

/// A FeatureCollection. Per route, in the order of the report: a line with role "stretch" for each stretch, a
/// feature with role "finding" for each finding as ranked (a point at the object, a line along the route
/// where the finding is about the route itself), a point with role "place" for each place of the route. A
/// foreign member "dangerline" carries the caution, charts, boat, tide, assumptions, counts and diagnostics.
///
/// Coordinates: longitude, latitude on WGS 84 in degrees, 7 decimals; lines that cross 180 degrees are cut
/// there; chords within 1 m of the rhumb line. Metres have 2 decimals, distances 1; times are UTC.
/// `critical_tide_m` is null where the finding holds at any tide; what does not apply is left out. The same
/// report gives the same bytes. `program_version` is quoted as it is. The layout is described in
/// src/overlay/schema/passage.schema.json.
std::string passage_geojson(const jobs::PassageReport& report, const std::string& program_version);

/// A FeatureCollection with a MultiPolygon for each zone, in the order of the report, and the same foreign
/// member. Outer rings run counter-clockwise, holes clockwise; cut at 180 degrees. Edges that are straight in
/// the plane of the report are drawn to 0.01 m, so that a zone keeps its width. A piece too thin for 7
/// decimals is drawn as the box around it: nothing is lost. The layout is described in
/// src/overlay/schema/zones.schema.json.
std::string zones_geojson(const jobs::ZonesReport& report, const std::string& program_version);

} // namespace dangerline::overlay
