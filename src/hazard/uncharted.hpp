// What newer data have and the charts lack. Private to the room.
#pragma once

#include "dangerline/chart/feature.hpp"
#include "hazard/steps.hpp"

namespace dangerline::hazard {

/// Steps of a class that is harmless where it is charted, such as a cable or a pipe. A stated depth over it
/// (VALSOU, else DRVAL1) decides like that of any object under water. Without one a pipe is a caution at any
/// tide, cause assumed; all else is a note. Never empty.
StepList unruled_steps(const chart::Feature& f);

/// Marks the hazard of an object with words about what the charts lack; any other stays as it is.
void sign_uncharted(Hazard& hazard, const chart::Feature& f);

/// When an object was found: the last day SORDAT may mean, of a note its own date. What only newer data have,
/// and a note nobody can date, may have been found any day.
std::optional<CalendarDay> found_on(const chart::Feature& f, bool note);

} // namespace dangerline::hazard
