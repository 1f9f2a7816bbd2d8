// How long the tide takes to come round.
#pragma once

namespace dangerline::tide {

inline constexpr double tide_cycle_s = 89'400.0; ///< a lunar day, 24 h 50 min: both low and high waters

} // namespace dangerline::tide
