// The drift job: what a boat whose engine dies at a mark meets.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/drift/outcomes.hpp"
#include "dangerline/geo/plane.hpp"
#include "dangerline/jobs/passage.hpp"
#include "dangerline/plan/plan.hpp"

namespace dangerline::jobs {

/// A hazard as outputs name it.
struct DriftHazard {
    std::string label; ///< "rock \"Gannet Rock\""
    hazard::Kind kind = hazard::Kind::depth;
    hazard::ObjectRef object{};
};

/// One kind of boat adrift from one mark.
struct DriftedBoat {
    std::string kind;   ///< "open boat"
    std::string source; ///< of its leeway
    drift::Leeway leeway;
    bool swamped = false;
    drift::Summary summary{};
    std::vector<drift::Outline> outlines{};
    struct Track {
        std::vector<geo::Point> points{}; ///< every drift::track_step_s and at the end
        double end_s = 0.0;
        drift::End end = drift::End::afloat;
        bool entered = false; ///< a danger zone, after
        double zone_s = 0.0;  ///< these seconds
    };
    std::vector<Track> tracks{}; ///< a few, from the soonest trouble to the latest
    std::vector<std::string> sentences{};
};

struct DriftedMark {
    std::string name;
    geo::Position position{};
    geo::Point point{};
    Instant at = Instant::from_unix_seconds(0.0);
    std::string wind_words;
    std::string stream_words; ///< at the mark at that time
    std::vector<DriftedBoat> boats;
    std::size_t shortest = 0; ///< of the boats that are not swamped: least time in hand
    /// Where the stream is not known but bounded: metres to the nearest danger and the soonest it could be
    /// reached by stream and leeway together; 0 where wind or tide are not known all the time. Nothing beyond
    /// the plan's within_m was looked at: so far at most.
    struct Envelope {
        double bound_mps = 0.0, nearest_m = 0.0, soonest_s = 0.0;
    };
    std::optional<Envelope> envelope{};
};

struct DriftReport {
    plan::Plan plan;
    geo::Plane plane;
    std::vector<CellNote> cells{};
    CalendarDay as_of{};
    double required_m = 0.0, touching_m = 0.0;
    std::string required_words{};
    std::string tide_words{};
    std::vector<std::string> tide_notes{}, stream_notes{}, warnings{};
    std::vector<DriftHazard> hazards{}; ///< by number, as outcomes name them
    std::vector<DriftedMark> marks{};
    std::size_t hazards_tested = 0;
    Diagnostics diagnostics{};
};

/// Runs each mark of the plan at its time for each kind of boat. Failures: as the loaders'; no mark, no wind
/// (plan).
DriftReport run_drift(const plan::Plan& plan);

/// One row of the table for a mark: the worse of the kinds of boat that are not swamped.
struct DriftRow {
    std::size_t mark = 0;
    bool springs = true;
    int tide_hour = 0; ///< hours after high water
    Instant begin = Instant::from_unix_seconds(0.0);
    double wind_from_deg = 0.0, wind_mps = 0.0;
    std::string boat;
    double early_s = 0.0, median_s = 0.0; ///< to trouble: danger, or the end of what is known
    double danger_share = 0.0, unknown_share = 0.0, afloat_share = 0.0;
    std::optional<std::size_t>
        hazard{};         ///< what the earliest meet; nothing: nothing is known, or no danger met
    double moved_m = 0.0; ///< its zone is so much wider there, by its moving bottom
    /// Why nothing is known: for the earliest where that comes first, else for most of those who come to it;
    /// empty: none does.
    std::string why{};
    std::optional<geo::Point> place{}; ///< where most of those who meet it enter its zone together
};

struct DriftTableReport {
    DriftReport base; ///< without boats
    struct Day {
        std::size_t mark = 0;
        bool springs = true;
        Instant high_water = Instant::from_unix_seconds(0.0);
        double range_m = 0.0;
    };
    std::vector<Day> days{};
    std::vector<DriftRow> rows{};
    std::vector<std::string> sentences{}; ///< the worst and best combinations, by mark
    std::uint64_t particle_steps = 0;     ///< taken, at most
};
/// Every mark over wind direction (every 22.5 degrees), strength (plan), hour of the tide (-6 to 6) at the
/// highest and the lowest high water range within 15 days of the mark's time. `progress` is told the share
/// done, from one thread at a time. Failures: as run_drift(); (plan) a tide without high waters.
DriftTableReport run_drift_table(const plan::Plan& plan, const std::function<void(double)>& progress);

} // namespace dangerline::jobs
