// Drift in sentences. Private to the room.
#pragma once

#include <string>
#include <vector>

#include "dangerline/jobs/drift.hpp"

namespace dangerline::jobs {

/// What becomes of one kind of boat, the most important first.
std::vector<std::string> drift_sentences(const DriftedBoat& boat, const std::vector<DriftHazard>& hazards,
                                         const plan::Plan& plan, double lasts_s);

} // namespace dangerline::jobs
