#include "dangerline/hazard/notes.hpp"

#include "dangerline/chart/dates.hpp"
#include "dangerline/hazard/precedence.hpp"

#include <fmt/format.h>

namespace dangerline::hazard {

bool is_old_note(const chart::Feature& note, const CalendarDay& as_of) {
    const auto day = chart::latest_day_of(note.date);
    if (!day)
        return false;
    static_assert(note_months == 12);
    return CalendarDay{day->year + 1, day->month, day->day} < as_of;
}

void sign_note(Hazard& hazard, const chart::Feature& note, const std::optional<CalendarDay>& as_of) {
    const auto day = chart::latest_day_of(note.date);
    const std::string written =
        day && note.date.size() == 8 ? to_text(*day) : (note.date.empty() ? "no date" : note.date);
    const std::string signature =
        fmt::format("noted by {}, {}", note.author.empty() ? "nobody named" : note.author, written);
    if (as_of && is_old_note(note, *as_of)) {
        demote(hazard, Cause::survey, signature + fmt::format(", over {} months old", note_months));
        return;
    }
    for (auto& step : hazard.steps)
        step.basis += (step.basis.empty() ? "" : ", ") + signature;
}

} // namespace dangerline::hazard
