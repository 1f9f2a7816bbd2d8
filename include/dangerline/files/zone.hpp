// A zone drawn as one polygon: the waters a tide station holds for.
#pragma once

#include "dangerline/geo/position.hpp"

#include <filesystem>
#include <vector>

namespace dangerline::files {

/// The ring of the one polygon in a GeoJSON file (RFC 7946), WGS 84, open: the first place is not repeated.
/// The first longitude is the file's, the others run on from it the short way round.
///
/// Failures (Fault::data), naming the file: missing, empty, not a regular file, no GeoJSON, damaged; no
/// polygon in it, or more than one, or one with a hole; other geometries beside it; fewer than three corners;
/// a ring that is not closed or crosses itself; a coordinate that is no number or out of range (says so where
/// longitude and latitude look swapped); coordinates in another reference system than WGS 84.
std::vector<geo::Position> read_zone(const std::filesystem::path& path);

} // namespace dangerline::files
