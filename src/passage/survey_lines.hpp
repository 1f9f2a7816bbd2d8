// What survey doubt makes of the bottom between charted features: one line per quality zone.
#pragma once

#include <vector>

#include "passage/judge.hpp"

namespace dangerline::passage {

struct SurveyLine {
    std::size_t zone = 0;     ///< index into Hazards::zones
    Spans spans;              ///< of the path, joined
    std::uint32_t hazard = 0; ///< the one with the least water
    std::size_t step = 0;
    std::vector<std::uint32_t> features; ///< rocks, wrecks and other objects among them, by number
    TideMet tide;                        ///< there
    double water_m = 0.0, doubt_m = 0.0; ///< there; water -infinity where a height is not known
    double moved_m = 0.0;                ///< the farthest a bottom among them may have moved
};

/// For each zone that comes within its own position doubt of the corridor: the spans on which some charted
/// depth within that radius, less the zone's depth doubt, would not carry the required water. What a listed
/// feature covers inside the corridor is left to its own finding.
std::vector<SurveyLine> survey_lines(const Track& track, const hazard::Hazards& hazards,
                                     const std::vector<HazardContact>& contacts,
                                     const std::vector<Landing>& landings, const Judge& judge);

} // namespace dangerline::passage
