// Times given on the command line. Private to the room.
#pragma once

#include <string>

#include "dangerline/plan/plan.hpp"

namespace dangerline::jobs {

struct AskedTimes {
    Instant from, to;
};

/// As the plan's zone reads them. Failure (command line) for times that can't be read, to before from, more
/// than 400 days, steps under a second or more than 100,000 of them.
AskedTimes asked_times(const plan::Plan& plan, const std::string& from, const std::string& to, double step_s);

} // namespace dangerline::jobs
