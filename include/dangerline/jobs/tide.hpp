// The tide job: heights and high and low waters.
#pragma once

#include <string>
#include <vector>

#include "dangerline/plan/plan.hpp"
#include "dangerline/tide/curve.hpp"

namespace dangerline::jobs {

struct TideReport {
    plan::Plan plan;
    std::string source; ///< in words, with the datum of the heights
    std::vector<std::string> warnings;
    struct Row {
        Instant at = Instant::from_unix_seconds(0.0);
        std::optional<double> metres;
    };
    std::vector<Row> heights; ///< every step
    std::vector<tide::HighOrLow> extremes;
};

/// `from` and `to` as the plan's zone reads them; `step_s` between heights. Failure (command line) for times
/// that can't be read, to before from, more than 400 days, or more than 100,000 rows.
TideReport run_tide(const plan::Plan& plan, const std::string& from, const std::string& to, double step_s);

} // namespace dangerline::jobs
