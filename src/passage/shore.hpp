// Beach launches: the stretch at an end of the route where the boat is handled in less water than it
// requires.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "dangerline/hazard/hazard.hpp"
#include "dangerline/passage/check.hpp"
#include "dangerline/passage/route.hpp"
#include "passage/spans.hpp"

namespace dangerline::passage {

struct Landing {
    bool at_start = true;
    geo::Span stretch;      ///< of the path, the shore stretch; its length is at most what the plan allows
    double slack_m = 0.0;   ///< the half-width at its outer end
    geo::HalfPlane seaward; ///< from a half-width beyond the outer end of the stretch outwards
    std::vector<std::uint32_t> joined; ///< land and depth steps of this landing, ascending
    std::string why_it_ends;
    /// By the depth surface, metres from the end of the route: the waterline of that hour, and the first
    /// place with the required water.
    std::optional<double> waterline_m, deep_m;
};

/// Landings at the ends of the track: an end that lies on or within the corridor of land, unless the plan
/// says otherwise. The stretch ends at the first depth area that is shoaler than the one before it or of
/// unknown depth, at the first one whose DRVAL1 carries the required water at `tide_m` (above chart datum;
/// nothing = not known), and after 150 m or what the route says. Where there is a depth surface it ends as
/// soon as that carries the required water, and where that stops deepening.
std::vector<Landing> find_landings(const Track& track, const hazard::Hazards& hazards, Water required,
                                   std::optional<double> tide_at_start_m,
                                   std::optional<double> tide_at_end_m);

/// Where the path may be a shore stretch at its start and at its end, whatever the tide: the lowest tide
/// while the boat is there is the one for find_landings().
std::vector<geo::Span> landing_spans(const Track& track);

/// Ascending heights of the tide at which find_landings() may change, for either end: between two of them it
/// gives the same landings, but for `waterline_m` and the words.
std::vector<double> landing_levels(const Track& track, const hazard::Hazards& hazards, Water required);

/// What is left of the spans of a joined hazard: nothing along the stretch; as far as `radius` reaches back
/// to what lies within a half-width seaward of the stretch's end, only what lies farther out.
Spans outside_stretch(const Landing& landing, const Chord& chord, const geo::Shape& shape, double radius,
                      const Spans& all);

} // namespace dangerline::passage
