// Where along the path the boat comes within the radii of a hazard's steps.
#pragma once

#include <cstdint>
#include <vector>

#include "dangerline/hazard/hazard.hpp"
#include "dangerline/passage/route.hpp"
#include "passage/shore.hpp"
#include "passage/spans.hpp"

namespace dangerline::passage {

/// Path spans of one step in the charted and close reading, each joined; charted within close. The wide one
/// is taken zone by zone in survey_lines().
struct StepContact {
    Spans charted; ///< the corridor
    Spans close;   ///< and the position radius
};

struct HazardContact {
    std::uint32_t hazard = 0;
    std::vector<std::uint32_t> chords;
    std::vector<StepContact> steps; ///< as Hazard::steps
};

/// Spans of the path from which the shape is within (half-width or `within_m`) + `extra_m`, on these chords,
/// less what the shore stretches take out of it.
Spans spans_within(const Track& track, const std::vector<std::uint32_t>& chords, const geo::Shape& shape,
                   double extra_m, std::optional<double> within_m, const std::vector<Landing>& landings,
                   std::uint32_t hazard);

/// One hazard on the chords that come near it.
HazardContact find_contact(const Track& track, const hazard::Hazards& hazards,
                           const std::vector<Landing>& landings, std::uint32_t number,
                           std::vector<std::uint32_t> chords);

/// Every hazard that some chord comes near enough to for any reading, in ascending order of number.
std::vector<HazardContact> find_contacts(const Track& track, const hazard::Hazards& hazards,
                                         const std::vector<Landing>& landings);

} // namespace dangerline::passage
