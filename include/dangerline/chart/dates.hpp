// Dates as charts and notes write them.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "dangerline/base/time.hpp"

namespace dangerline::chart {

/// The spelling of S-57: "2003-04-01" and "2003-04" lose their dashes, blanks around are dropped; everything
/// else (CCYY, CCYYMM, CCYYMMDD, the yearly --MMDD, junk) comes back as it is.
std::string plain_date(std::string_view text);

/// The last day a date of CCYY, CCYYMM or CCYYMMDD may mean: 2003 gives 31 December 2003. Nothing for yearly
/// dates, days that do not exist, years outside 1600 to 2100 and junk.
std::optional<CalendarDay> latest_day_of(std::string_view date);

} // namespace dangerline::chart
