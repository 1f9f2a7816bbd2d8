// Which steps of hazards a drifting boat can come to grief on, and when. Private to the room.
#pragma once

#include <vector>

#include "dangerline/drift/dangers.hpp"

namespace dangerline::drift {

/// In the order of hazards and steps. Steps that decide danger or unknown, and doubtful ones of single
/// objects (of coarser charts, old notes, of unknown depth); regulated areas are none.
std::vector<Obstacle> obstacles_of(const hazard::Hazards& hazards, const DangerSettings& settings);

} // namespace dangerline::drift
