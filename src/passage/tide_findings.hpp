// What the tide itself has to be told for, beside what lies under it.
#pragma once

#include <string>
#include <vector>

#include "passage/judge.hpp"

namespace dangerline::passage {

/// A part of the path for which no tide is known, and why.
Finding finding_without_tide(const geo::Span& span, const Track& track, const Judge& judge,
                             const std::string& why);

/// The parts of the path (joined, one or more) where the tide's shape is doubtful.
Finding finding_of_doubtful_tide(const Spans& doubtful, const Track& track, const Judge& judge);

/// A note for each place where the tide that counts steps by more than tide::reported_step_m while the boat
/// is there, clock margin included.
std::vector<Finding> findings_of_tide_steps(const Track& track, const hazard::Hazards& hazards,
                                            const Judge& judge);

/// Where the boat can't be kept to its line or its time, and why: unknown from there on, or, where a largest
/// rate is stated, a caution with its interval.
Finding finding_of_stream(const Timetable::NotHeld& lost, const geo::Span& span, const Track& track,
                          const Judge& judge);

} // namespace dangerline::passage
