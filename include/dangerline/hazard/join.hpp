// One object that two cells show in parts becomes one hazard again.
#pragma once

#include "dangerline/hazard/hazard.hpp"

namespace dangerline::hazard {

/// Joins hazards of different cells of one scale that have the same LNAM (not of producer 0), class, kind and
/// datum and whose steps differ in nothing but their shapes: the first gets the shapes of all (areas united,
/// lines and points side by side) and the worst allowance of any. So where the line between two cells runs
/// changes no finding. Soundings are joined only where they stand in one place. Hazards that differ in
/// anything stay apart, and both count. The order of the rest is kept. Call before the index is made.
void join_split_objects(std::vector<Hazard>& hazards, const std::vector<CellRef>& cells);

/// The same for quality zones: parts with the same LNAM (none: the water no zone of a cell covers), CATZOC
/// and years in cells of one scale become one, named after the first cell.
void join_split_zones(std::vector<survey::QualityZone>& zones, const std::vector<CellRef>& cells);

} // namespace dangerline::hazard
