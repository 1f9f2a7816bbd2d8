// Water that no chart covers. Private to the room.
#pragma once

#include <memory>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/regions.hpp"

namespace dangerline::hazard {

/// A square that stands for "everywhere": far outside any plane's working radius.
geo::Ring everywhere();

/// All water no cell covers, as one area: a frame with the coverage cut out by the even-odd rule. Slits
/// between cells that exist in the plane only are filled.
std::shared_ptr<const geo::Shape> uncovered(const std::vector<chart::Cell>& cells);

} // namespace dangerline::hazard
