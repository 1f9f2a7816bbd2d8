// The day a plan is used on. Private to the room.
#pragma once

#include <optional>
#include <vector>

#include "dangerline/jobs/load.hpp"

namespace dangerline::jobs {

/// The day ages are reckoned at: the plan's own, else of its first departure, else of its season's begin;
/// nothing where it names none.
std::optional<CalendarDay> day_of_use(const plan::Plan& plan, const std::vector<PlannedRoute>& routes);

} // namespace dangerline::jobs
