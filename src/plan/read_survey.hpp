// How a plan wants surveys to be judged, and the moving bottoms it draws.
#pragma once

#include <string>
#include <vector>

#include "dangerline/plan/moving.hpp"
#include "plan/section.hpp"

namespace dangerline::plan {

/// The table [survey]; what it leaves out keeps its default and becomes a sentence in `assumptions`, where it
/// counts for anything beside what each of `moving` says of itself.
survey::TrustSettings read_survey(const Section& head, const std::vector<MovingEntry>& moving,
                                  std::vector<std::string>& assumptions);
/// Every [[moving]].
std::vector<MovingEntry> read_moving(const Section& head);

} // namespace dangerline::plan
