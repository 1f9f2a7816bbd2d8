// What all reports of drift have in common. Private to the room.
#pragma once

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/drift.hpp"
#include "jobs/drift_scene.hpp"

namespace dangerline::jobs {

/// Everything but marks.
void describe(const plan::Plan& plan, const Places& places, const Diagnostics& diagnostics,
              DriftReport& report);

/// The stations that count where boats may drift from each place; they are of account from then on.
std::vector<tide::Choice> choices_around(Places& places, const plan::Plan& plan);
/// Adds what must be said where several count; after describe().
void tell_tides(const Places& places, const std::vector<tide::Choice>& choices, DriftReport& report);

/// The bottom is worked out so far beyond what drift looks at.
inline constexpr double drift_edge_m = 500.0;
/// Tides and streams are needed so much longer than the boats drift.
inline double drift_longer_s(const plan::Plan& plan) {
    return clock_deviations * plan.drift.errors.tide_clock_s + 3600.0;
}

} // namespace dangerline::jobs
