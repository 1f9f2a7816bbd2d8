// Routes as people draw them: GPX routes and tracks, GeoJSON lines.
#pragma once

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/geo/position.hpp"

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

namespace dangerline::files {

/// Narrower corridors are refused: no boat is steered, and no receiver is, to less.
inline constexpr double min_half_width_m = 10.0;
/// Hazards are laid out for 3 NM around a route: what is asked for must lie well within that.
inline constexpr double max_half_width_m = 2000.0;

/// One line with at least two places, as drawn. Consecutive identical places are kept.
struct DrawnRoute {
    std::string name{}; ///< may be empty
    /// WGS 84. The first longitude is the file's; the others run on from it the short way round, so that a
    /// line over the antimeridian leaves [-180, 180].
    std::vector<geo::Position> places{};
    /// One per place, each may be empty; the vector is empty where no place has a name.
    std::vector<std::string> place_names{};
    std::optional<double>
        half_width_m{}; ///< for the whole route; within min_half_width_m and max_half_width_m
    /// One per leg (places - 1), or empty; within min_half_width_m and max_half_width_m.
    std::vector<double> leg_half_widths_m{};
    std::string source{}; ///< "FILE: LAYER N", N counted from 1 in the layer
};

/// Reads every line of a file, in file order (GPX: routes before tracks).
///
/// GPX 1.0 and 1.1: `rte` and `trk`; names of route points; `half_width` in metres in a route's extensions.
/// GeoJSON (RFC 7946): LineString and MultiLineString; properties `name` and `half_width` (metres; one
/// number, or a list with one per
/// leg; a list of one counts for the whole route). Parts of a MultiLineString that was split at 180 degrees
/// (RFC 7946 3.1.9) and parts that touch are joined again without a doubled place; other gaps, and gaps
/// between track segments, are drawn straight through with a warning. Other geometries are left out with a
/// note. Longitudes to +-360 are taken in GeoJSON.
///
/// Failures (Fault::data), naming file and object: file missing, empty, not a regular file, neither format,
/// damaged; no line in it; a line with fewer than two places; a feature without readable geometry; a
/// coordinate that is no number or out of range (says so where longitude and latitude look swapped);
/// coordinates in another reference system than WGS 84; a half width that is no number, too narrow, or not
/// one per leg.
std::vector<DrawnRoute> read_routes(const std::filesystem::path& path, Diagnostics& diagnostics);

/// The places with longitude and latitude exchanged; empty where one of them would be out of range. A swap
/// that stays in range can't be seen in the file, but may be by what lies there.
std::vector<geo::Position> swapped(const std::vector<geo::Position>& places);

} // namespace dangerline::files
