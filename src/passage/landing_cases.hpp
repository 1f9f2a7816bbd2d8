// Shore stretches over a whole season: they move with the tide of the departure and of the arrival. Private
// to the room.
#pragma once

#include <optional>
#include <vector>

#include "passage/conditions.hpp"

namespace dangerline::passage {

/// One band of the tide at an end.
struct EndCase {
    std::optional<Landing> landing;
    TimeSet times; ///< instants at which the tide there is in the band
};

struct EndCases {
    std::vector<EndCase> start, end; ///< each one or more; a single one holds at any time
};

/// As check() finds them, for all instants of `tides.times()`.
EndCases end_cases(const Track& track, const hazard::Hazards& hazards, const Conditions& conditions,
                   SeasonTides& tides);

/// A contact under some landing case, or every_case.
struct CasedContact {
    HazardContact contact;
    std::size_t landing = every_case;
};

/// Contacts of the track; those of land and depth steps joined to a landing once for each case.
std::vector<CasedContact> cased_contacts(const Track& track, const hazard::Hazards& hazards,
                                         const EndCases& cases, std::vector<LandingCase>& landings);

} // namespace dangerline::passage
