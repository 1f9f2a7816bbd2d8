// What all outputs of drift have in common.
#pragma once

#include "dangerline/jobs/drift.hpp"
#include "overlay/head.hpp"

namespace dangerline::overlay {

/// Rounded down; null where never.
Value minutes_value(double seconds);
/// Rounded up.
Value help_minutes_value(double seconds);
Value share_value(double share);
Value time_value(Instant t);
HeadFacts drift_facts(const char* job, const jobs::DriftReport& report, const std::string& version,
                      Value counts);

/// what, kind, object; moved_m where its zone is wider by that, over a bottom that moves.
void add_danger(Members& to, const jobs::DriftHazard& hazard, double moved_m);

} // namespace dangerline::overlay
