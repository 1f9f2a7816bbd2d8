// The legs of a passage as the helmsman sails them.
#pragma once

#include <optional>
#include <vector>

#include "dangerline/passage/timetable.hpp"

namespace dangerline::passage {

struct LegSheet {
    double from_m = 0.0, to_m = 0.0; ///< path coordinates
    Instant begin = Instant::from_unix_seconds(0.0), end = begin;
    double course_deg = 0.0; ///< true
    double speed_mps =
        0.0; ///< of the route: through the water where streams are reckoned, else over the ground
    double made_good_mps = 0.0; ///< over the ground, mean of the leg
    /// Stream and course to steer (true, through the water) half way in distance; nothing where no stream is
    /// reckoned or known, or the leg can't be held.
    std::optional<sea::Stream> stream{};
    std::optional<double> steer_deg{};
    double wait_s = 0.0; ///< at its end
};

std::vector<LegSheet> legs_of(const Track& track, const Timetable& timetable);

} // namespace dangerline::passage
