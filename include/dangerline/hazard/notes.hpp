// Local notes: who wrote them, and what their age makes of them.
#pragma once

#include <optional>

#include "dangerline/base/time.hpp"
#include "dangerline/chart/feature.hpp"
#include "dangerline/hazard/hazard.hpp"

namespace dangerline::hazard {

/// Months after which a note is old (assumption of this project).
inline constexpr int note_months = 12;

/// Whether a note's date lies more than 12 months before `as_of`. The date counts as its last day, so 2025
/// is old from 1 January 2027 on. A date nobody can read is not old: what is missing must not ease a finding.
bool is_old_note(const chart::Feature& note, const CalendarDay& as_of);

/// Signs each step with author and date. An old note becomes a caution at most, cause `survey`; it never
/// vanishes. Without `as_of` no age is reckoned.
void sign_note(Hazard& hazard, const chart::Feature& note, const std::optional<CalendarDay>& as_of);

} // namespace dangerline::hazard
