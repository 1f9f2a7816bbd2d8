// From charted objects to hazards.
#pragma once

#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/hazard/hazard.hpp"

namespace dangerline::hazard {

/// Hazards of the cells, which must have been laid out in one plane. Reports what contradicts itself (depth
/// against water level, DRVAL2 shoaler than DRVAL1) and each class that no rule knows. Besides charted
/// objects there are hazards of kind no_data: water no cell covers, gaps and overlaps of the charted bottom,
/// the whole of a cell that is not to be believed, what readings of a broken area disagree on.
Hazards build(const std::vector<chart::Cell>& cells, Diagnostics& diagnostics);

} // namespace dangerline::hazard
