// The check with what the season needs beside its findings. Private to the room.
#pragma once

#include <vector>

#include "dangerline/passage/check.hpp"
#include "passage/survey_lines.hpp"

namespace dangerline::passage {

/// check(), and the lines of survey it found, eased by runs or not.
Check check_with_lines(const Track& track, const Timetable& timetable, const hazard::Hazards& hazards,
                       const Conditions& conditions, std::vector<SurveyLine>& lines);

} // namespace dangerline::passage
