// Drift as GeoJSON and as a table.
#pragma once

#include <string>

#include "dangerline/jobs/breakdown.hpp"
#include "dangerline/jobs/drift.hpp"

namespace dangerline::overlay {

/// A FeatureCollection. Per mark a point with role "mark" that carries, for each kind of boat, the shares of
/// its outcomes (they sum to one), its times and its sentences; then per boat points with role "cluster"
/// where boats enter a danger zone together, areas with role "outline" where half and nine in ten of the
/// boats are at whole hours, lines with role "track" for a few of them. Shares are of all boats of the run;
/// times in minutes after the engine died, null where not reached. Coordinates and the foreign member
/// "dangerline" as in passage_geojson(). The layout is described in src/overlay/schema/drift.schema.json.
std::string drift_geojson(const jobs::DriftReport& report, const std::string& program_version);

/// One row a combination; comma separated, RFC 4180, columns named in the first line.
std::string drift_table_csv(const jobs::DriftTableReport& report);

/// For each mark, wind and tide a line from the mark to where most boats enter the zone of the danger most of
/// them meet, at the hour with the least time in hand. Combinations that meet no danger have no line; the
/// table has all. Layout: src/overlay/schema/drift-table.schema.json.
std::string drift_table_geojson(const jobs::DriftTableReport& report, const std::string& program_version);

/// Per route lines with role "in_hand", each a stretch with about the same time in hand, the point with the
/// least time (role "least"), and a point for each helper. Layout: src/overlay/schema/breakdown.schema.json.
std::string breakdown_geojson(const jobs::BreakdownReport& report, const std::string& program_version);

} // namespace dangerline::overlay
