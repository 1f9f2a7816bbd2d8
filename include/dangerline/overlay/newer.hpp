// What charts lack, and what members' sounders found, as overlay and table.
#pragma once

#include <string>

#include "dangerline/jobs/compare.hpp"

namespace dangerline::overlay {

/// A FeatureCollection with a feature for each shape of each difference, in the order of the report: where
/// the newer data have the object, of what is gone where the chart has it. The foreign member is that of
/// passage_geojson(), its counts by newer source and tried track. Layout:
/// src/overlay/schema/newer.schema.json. The same report gives the same bytes.
std::string newer_geojson(const jobs::CompareReport& report, const std::string& program_version);

/// Places of every sounder log as CSV (RFC 4180, CRLF), a line each: who, when (UTC), where, how many
/// soundings, logged depth, tide, what they make together, what is charted, the difference, what is left of
/// it beside the common offset, whether that is a local change, and words. Cells of what is not known are
/// empty. The header alone where there is no log.
std::string soundings_csv(const jobs::CompareReport& report);

} // namespace dangerline::overlay
