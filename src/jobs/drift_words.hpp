// Drift in sentences. Private to the room.
#pragma once

#include <string>
#include <vector>

#include "dangerline/jobs/drift.hpp"

namespace dangerline::jobs {

/// What becomes of one kind of boat, the most important first.
std::vector<std::string> drift_sentences(const DriftedBoat& boat, const DriftedMark& mark,
                                         const DriftReport& report);

/// The danger as sentences name it, a zone that is wider by so much over a moving bottom told with it.
std::string told(const DriftHazard& hazard, double moved_m);
/// "26 %", "under 1 %".
std::string share_words(double share);
/// Why nothing is known where a boat is: "stream not known", or the unknown water by its name.
std::string why_words(drift::End end, const std::optional<std::size_t>& water,
                      const std::vector<DriftHazard>& hazards);

} // namespace dangerline::jobs
