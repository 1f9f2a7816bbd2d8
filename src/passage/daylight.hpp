// By what light a boat passes a mark. Private to the room.
#pragma once

#include <map>
#include <memory>
#include <vector>

#include "dangerline/base/time_set.hpp"
#include "dangerline/passage/route.hpp"

namespace dangerline::passage {

/// Instants of `times` at which what stands beside that place of the path can't be made out: civil twilight
/// is over, or has not begun. Reckoned at the nearest of every fifth nautical mile of the path, erring to the
/// dark.
TimeSet dark_beside(const Track& track, double s, const Interval& times);
/// The same of many places over a season: once for all that share a light.
class Dark {
  public:
    /// Works it out side by side, `margin_s` longer at either end.
    Dark(const Track& track, const std::vector<double>& places, const Interval& times, double margin_s);
    /// Of one of the places.
    const std::shared_ptr<const TimeSet>& beside(double s) const;

  private:
    std::map<long, std::shared_ptr<const TimeSet>> of_light_;
};

} // namespace dangerline::passage
