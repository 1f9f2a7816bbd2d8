// The stream job: set and rate at one place.
#pragma once

#include <string>
#include <vector>

#include "dangerline/plan/plan.hpp"
#include "dangerline/sea/stream.hpp"

namespace dangerline::jobs {

struct StreamReport {
    plan::Plan plan;
    geo::Position place;
    std::vector<std::string> notes; ///< what streams there are, and what can't be used
    struct Row {
        Instant at = Instant::from_unix_seconds(0.0);
        sea::StreamThere there;
    };
    std::vector<Row> rows; ///< every step
    Diagnostics diagnostics;
};

/// The stream at a place as every other job takes it. `from` and `to` as the plan's zone reads them.
/// Failures: those of the charts and streams of the plan; (command line) as run_tide(); (plan) no streams.
StreamReport run_stream(const plan::Plan& plan, geo::Position place, const std::string& from,
                        const std::string& to, double step_s);

} // namespace dangerline::jobs
