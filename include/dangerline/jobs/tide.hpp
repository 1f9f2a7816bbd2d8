// The tide job: heights and high and low waters.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/plan/plan.hpp"
#include "dangerline/tide/curve.hpp"

namespace dangerline::jobs {

/// One tide of the plan.
struct TideTable {
    std::string source; ///< in words, with the datum of the heights
    std::string place;  ///< "46.0814 N 27.9303 W", "standard port only", or empty
    std::vector<std::string> warnings;
    struct Row {
        Instant at = Instant::from_unix_seconds(0.0);
        std::optional<double> metres; ///< nothing: unknown
    };
    std::vector<Row> heights; ///< every step
    std::vector<tide::HighOrLow> extremes;
};

struct TideReport {
    plan::Plan plan;
    std::vector<TideTable> tides; ///< every tide of the plan, in its order
};

/// `from` and `to` as the plan's zone reads them; `step_s` between heights. Failure (command line) for times
/// that can't be read, to before from, more than 400 days, or more than 100,000 rows.
TideReport run_tide(const plan::Plan& plan, const std::string& from, const std::string& to, double step_s);

} // namespace dangerline::jobs
