// What the jobs say of a plan's tide. Private to the room.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/plan/plan.hpp"

namespace dangerline::jobs {

/// "harmonic prediction from tide.csv, mean level 3.20 m above 23 (lowest astronomical tide)".
std::string tide_words(const plan::Plan& plan);

/// Why the plan's tide can't be believed at all; empty where it can. Harmonic constants without M2, S2, K1 or
/// O1 predict a tide too high at low water wherever that constituent is not nothing.
std::string tide_distrust(const plan::Plan& plan);

/// Lowest, mean and highest height of the years used, and what looks wrong about them.
struct TideNotes {
    std::vector<std::string> lines;    ///< plain statements
    std::vector<std::string> warnings; ///< each to be said where it can't be overlooked
};

/// Heights are above the datum `offset_m` metres below the source's (nothing: not linked, no lines), which is
/// named `above` in words.
TideNotes tide_notes(const plan::Plan& plan, std::optional<double> offset_m, const std::string& above,
                     Instant from, Instant to);

} // namespace dangerline::jobs
