// What a plan asks of a whole season.
#pragma once

#include <array>
#include <optional>

#include "dangerline/base/time.hpp"
#include "dangerline/passage/windows.hpp"

namespace dangerline::plan {

/// Tide heights above the sounding datum of the first chart between which a slip or beach can be used.
struct UsableTide {
    std::optional<double> at_least_m, at_most_m;
    bool any() const { return at_least_m || at_most_m; }
};

struct SeasonAsked {
    enum class Daylight { not_asked, sun, twilight };
    CalendarDay from, to;                                                   ///< local days, both included
    std::array<bool, 7> weekdays{true, true, true, true, true, true, true}; ///< of departure, Sunday first
    Daylight daylight =
        Daylight::not_asked; ///< the whole trip between sunrise and sunset, or civil twilights
    std::optional<int> not_before_min, home_by_min; ///< of the local clock, minutes since midnight
    std::optional<double> longest_s;                ///< of a trip, waits included
    UsableTide launch, recovery;
    passage::Robustness robustness;
};

} // namespace dangerline::plan
