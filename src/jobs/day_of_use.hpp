// The day ages are reckoned at where no departure is asked for. Private to the room.
#pragma once

#include <optional>
#include <vector>

#include "dangerline/jobs/load.hpp"

namespace dangerline::jobs {

/// The plan's own, else of its first departure; nothing where it names neither.
std::optional<CalendarDay> day_of_use(const plan::Plan& plan, const std::vector<PlannedRoute>& routes);

} // namespace dangerline::jobs
