// Charted dangers with a date of their own, and how far they can be believed. Private to the room.
#pragma once

#include <vector>

#include "dangerline/jobs/survey.hpp"
#include "jobs/near.hpp"

namespace dangerline::jobs {

/// Whether an object is a single danger that says when it was surveyed, and that a survey tells of: no depth
/// area, contour or sounding, nothing laid, overhead, or where only rules apply.
bool is_dated_hazard(const chart::Feature& f);

/// By the gravest flag, then the nearer, then the older.
bool gravest_first(const DatedHazard& a, const DatedHazard& b);

/// Those of the cell with that number, gravest first. Of what a better
/// chart covers none. `near`: only those within hazards_within_m of a route or mark, unless it is empty;
/// `left_out` counts the others.
std::vector<DatedHazard> dated_hazards(const chart::Cell& cell, std::size_t number,
                                       const survey::QualityZones& zones, const survey::Trust& trust,
                                       const geo::Plane& plane, const Near* near, std::size_t& left_out);

} // namespace dangerline::jobs
