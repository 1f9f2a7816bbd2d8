// Where cells lie, told without reading them whole.
#pragma once

#include <optional>
#include <span>
#include <string_view>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/chart/lon_lat_box.hpp"
#include "dangerline/geo/position.hpp"

namespace dangerline::chart {

/// A box around each leg (rhumb lines the short way round) or around the only place, grown by `metres`. Near
/// a pole a box goes all the way round.
std::vector<LonLatBox> boxes_along(std::span<const geo::Position> places, double metres);

/// Bounds of all places of a geometry; they run on from the first the short way round. Nothing where it has
/// none.
std::optional<LonLatBox> bounds_of(const Geometry& geometry);

/// Whether these bounds meet any of the boxes; false for a geometry without places.
bool comes_near(const Geometry& geometry, std::span<const LonLatBox> near);

/// Bounds of all coordinates in the vector records of a base or an update; nothing where there are none, or
/// where the bytes are no such records or fewer than stated (reading the cell says why). A file across the
/// antimeridian gets all longitudes. Cost: some 3 ms for 3.6 MB, mostly of fetching the bytes.
std::optional<LonLatBox> extent_of_records(std::string_view bytes);

/// The same of a base with all its updates, from their files; nothing where one of them can't be read so.
/// Errs outwards: nodes that a later update deletes count.
std::optional<LonLatBox> extent_of(const CellFiles& files);

} // namespace dangerline::chart
