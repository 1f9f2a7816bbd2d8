// Tried tracks of a plan: what they prove, and their sounders against the chart.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/plane.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/passage/tried.hpp"
#include "dangerline/plan/plan.hpp"
#include "dangerline/survey/offset.hpp"

namespace dangerline::jobs {

/// Soundings of one place: neighbours in the log within 25 m of the first.
struct SoundedPlace {
    geo::Position place{};
    Instant at = Instant::from_unix_seconds(0.0); ///< of the first
    std::size_t soundings = 0;
    double logged_m = 0.0;             ///< median as logged, below the transducer
    int datum = 0;                     ///< VERDAT of the charted depths there, 0 where not known
    std::optional<double> tide_m{};    ///< above that datum
    std::optional<double> sounded_m{}; ///< charted depth the sounder stands for: logged + transducer - tide
    std::optional<double> charted_m{}; ///< the bottom between charted depths
    std::optional<double> shoalest_m{}, deepest_m{}; ///< of the charted range, doubts left out
    std::optional<double> doubt_m{};                 ///< 95 %, of the survey there
    /// Sounded less charted; where no bottom is laid what is beyond the charted range, 0 within it.
    std::optional<double> difference_m{};
    std::optional<double> local_m{}; ///< the same less the common offset
    bool changed = false;            ///< a local change
    /// Shoaler than charted by over survey::local_change_m in a log that is shoaler by as much as a whole:
    /// where most of its places lie over what has silted up, the common offset is the silt.
    bool shoaler_throughout = false;
    std::string remark{};
    /// A local change to the shoaler, or shoaler throughout: a caution `survey`, since the bottom may not be
    /// as it was surveyed.
    bool shoaler() const { return (changed && local_m && *local_m < 0.0) || shoaler_throughout; }
};

struct TriedOutcome {
    passage::TriedRun run;            ///< no pieces where it counts for nothing
    std::string file;                 ///< of the track, without folder
    std::string why_not;              ///< why it counts for nothing; empty: it counts
    double length_m = 0.0;            ///< of its pieces
    std::vector<SoundedPlace> places; ///< of its sounder, in the order of the log
    std::optional<survey::CommonOffset> offset{};
    std::string offset_words; ///< what the common offset tells; empty without a log
};

/// Reads every [[tried]]. `cells`: laid out and settled; tides by the plan at the time and place. The run
/// counts for nothing, said in `why_not`: over passage::tried_days before `as_of`, no time in the track and
/// no stated tide, no tide known then. Where the common offset is over survey::greatest_offset_m, or where
/// there is none, the sounder's depths prove nothing and the draught alone counts. Failures: those of the
/// readers; (plan) dated after `as_of`; (data) times of track or log on another day than stated.
std::vector<TriedOutcome> read_tried(const plan::Plan& plan, const geo::Plane& plane,
                                     const CalendarDay& as_of, const std::vector<chart::Cell>& cells,
                                     Diagnostics& diagnostics);

/// Where sounders found less water than charted, the common offset taken out: one hazard for each row of
/// such places, at any tide a caution. However old the run, and where its depths prove nothing: what is
/// doubted never vanishes.
std::vector<hazard::Hazard> shoals_of(const std::vector<TriedOutcome>& outcomes, const geo::Plane& plane);

/// Those that count, for passage::Conditions.
std::vector<passage::TriedRun> runs_that_count(const std::vector<TriedOutcome>& outcomes);

} // namespace dangerline::jobs
