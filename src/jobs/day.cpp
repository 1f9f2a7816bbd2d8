#include "jobs/day.hpp"

#include <algorithm>

namespace dangerline::jobs {

std::optional<CalendarDay> day_of_use(const plan::Plan& plan, const std::vector<PlannedRoute>& routes) {
    if (plan.as_of)
        return plan.as_of;
    std::optional<Instant> first;
    for (const auto& planned : routes)
        if (const auto& text = planned.depart ? planned.depart : plan.depart)
            first = std::min(first.value_or(plan.zone.parse(*text)), plan.zone.parse(*text));
    if (!first && plan.depart)
        first = plan.zone.parse(*plan.depart);
    if (!first && plan.season)
        return plan.season->from;
    return first ? std::optional(day_of(*first)) : std::nullopt;
}

} // namespace dangerline::jobs
