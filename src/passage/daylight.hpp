// By what light a boat passes a mark. Private to the room.
#pragma once

#include "dangerline/base/time_set.hpp"
#include "dangerline/passage/route.hpp"

namespace dangerline::passage {

/// Instants of `times` at which what stands beside that place of the path can't be made out: civil twilight
/// is over, or has not begun. Reckoned at the nearest of every fifth nautical mile of the path, erring to the
/// dark.
TimeSet dark_beside(const Track& track, double s, const Interval& times);
/// Places with one number have one light.
long light_number(double s);

} // namespace dangerline::passage
