// What survey trust makes of hazards that are built. Private to the room.
#pragma once

#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/survey/zones.hpp"

namespace dangerline::hazard {

/// Widens allowances and zones, gives depth areas and soundings over a moving bottom the reach it may have
/// moved, and adds old bars and moved channels as unknown. `zones` are those of the cells, in their order;
/// `settings.trust` is there.
void apply_trust(Hazards& hazards, const std::vector<chart::Cell>& cells,
                 const std::vector<survey::QualityZones>& zones, const BuildSettings& settings);

} // namespace dangerline::hazard
