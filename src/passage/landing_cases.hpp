// Shore stretches over a whole season: they move with the tide of the departure and of the arrival. Private
// to the room.
#pragma once

#include <optional>
#include <vector>

#include "passage/conditions.hpp"

namespace dangerline::passage {

struct EndCase {
    std::optional<Landing> landing;
    TideBand band;
};

struct EndCases {
    std::vector<EndCase> start,
        end; ///< each one or more, the lowest tide first; a single one holds at any time
};

/// As check() finds them.
EndCases end_cases(const Track& track, const hazard::Hazards& hazards, const Conditions& conditions,
                   SeasonTides& tides);

/// A contact under some landing case, or every_case.
struct CasedContact {
    HazardContact contact;
    std::size_t landing = every_case;
    bool charted = true; ///< false: for doubts only, with the shore stretches at their longest
};

/// Those of the lowest tides.
std::vector<Landing> first_landings(const EndCases& cases);

/// `contacts`: of the track with its first landings. Those of land and depth steps joined to a landing come
/// once for each case, and once more for doubts.
std::vector<CasedContact> cased_contacts(const Track& track, const hazard::Hazards& hazards,
                                         const EndCases& cases, std::vector<HazardContact> contacts,
                                         std::vector<LandingCase>& landings);

} // namespace dangerline::passage
