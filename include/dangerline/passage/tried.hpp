// Runs that were made, as evidence against doubts of the survey.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "dangerline/base/time.hpp"
#include "dangerline/geo/reach.hpp"

namespace dangerline::passage {

// All assumptions of this project.
inline constexpr double tried_within_m = 20.0; ///< a run tells of so much to either side
inline constexpr long tried_days = 90;         ///< and so long
inline constexpr double tried_fixes_apart_m =
    100.0; ///< fixes further apart tell nothing of what lies between

/// A straight piece of a run in the working plane.
struct TriedPiece {
    geo::Leg leg{};
    double water_m = 0.0; ///< the least there was: by the sounder, else the draught of the boat that ran it
    bool sounded = false;
    /// Height of the tide then, above each sounding datum (VERDAT) it is known for.
    std::map<int, double> tide_m{};
};

struct TriedRun {
    std::string by;
    CalendarDay on{};
    std::vector<TriedPiece> pieces{};
};

} // namespace dangerline::passage
