// From gradings to what the skipper reads.
#pragma once

#include <vector>

#include "passage/judge.hpp"
#include "passage/survey_lines.hpp"
#include "passage/tried_along.hpp"

namespace dangerline::passage {

/// One finding for each run of the path on which the gradings of a hazard hang together; the worst of them
/// gives the grade.
std::vector<Finding> findings_of(const HazardContact& contact, const std::vector<Grading>& gradings,
                                 const Track& track, const hazard::Hazards& hazards, const Judge& judge);

/// As findings name it.
hazard::ObjectRef quality_object(const survey::QualityZone& zone);

/// A caution; a note where runs tell of all of it.
Finding finding_of(const SurveyLine& line, const TriedAlong::Proven& proven, const Track& track,
                   const hazard::Hazards& hazards, const Judge& judge);
Finding finding_of(const Landing& landing, const Track& track, const Judge& judge);

/// Worse grade first, then cause, spare water ascending (not known first), time, distance.
void rank(std::vector<Finding>& findings);

} // namespace dangerline::passage
