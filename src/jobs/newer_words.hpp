// What is said of a difference, and which is told first. Private to the room.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "dangerline/jobs/newer.hpp"
#include "dangerline/plan/newer.hpp"

namespace dangerline::jobs {

/// "missing from the charts", "1.6 m where 2.1 m is charted, 0.5 m shoaler (within both doubts of 1.1 m)".
std::string words_of(const survey::Difference& difference, const NewerChange& change);

/// Classes that may stand for one thing.
bool may_be_one_thing(std::string_view a, std::string_view b);

/// By kind, see NewerKind, of one kind the nearer to the routes and marks first.
void most_dangerous_first(std::vector<NewerChange>& changes);

/// What became of a source, for people who read only what is wrong with the data.
void say_outcome(const NewerOutcome& outcome, const plan::NewerSource& source, bool near_routes,
                 Diagnostics& diagnostics);

} // namespace dangerline::jobs
