// One route at one departure against the hazards.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/time.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/hazard/rough_water.hpp"
#include "dangerline/passage/boat.hpp"
#include "dangerline/passage/route.hpp"
#include "dangerline/passage/tides.hpp"
#include "dangerline/passage/timetable.hpp"
#include "dangerline/passage/tried.hpp"

namespace dangerline::passage {

/// What the tide and the boat's clock may be wrong by; all assumptions of this project, 95 %.
struct Doubts {
    double tide_height_m = 0.3;
    double tide_time_s = 15.0 * 60.0;   ///< the tide comes so much early or late
    double time_margin_s = 15.0 * 60.0; ///< the boat does; widens entry and exit, for cautions only
};

struct Conditions {
    Boat boat;
    Water required = Water::from_metres(0.0);
    Doubts doubts; ///< the least; the doubt of a choice of stations counts where it is larger
    Tides tides;   ///< along the track that is checked
    /// For rough water; the rate is a bound stated by the user and counts where the timetable knows no
    /// stream.
    hazard::WaterState sea{};
    /// Where the wind comes from, degrees true; where not given it counts as against any stream.
    std::optional<double> wind_from_deg{};
    /// Runs that were made, in the plane of the track: they turn cautions of survey into notes where they
    /// tell enough, and nothing else. Null: none.
    std::shared_ptr<const std::vector<TriedRun>> tried{};
    /// Why the tide can't be believed at all; the whole route is unknown then. Empty: it can.
    std::string tide_distrust{};
};

/// One thing the skipper should know.
struct Finding {
    hazard::Grade grade = hazard::Grade::none_found;
    hazard::Cause cause = hazard::Cause::none;
    hazard::Kind kind = hazard::Kind::depth;
    hazard::ObjectRef object;
    std::string what;
    std::string reason;    ///< a sentence
    std::string remark;    ///< the chart's own text, quoted
    geo::Span span;        ///< of the path, metres
    double length_m = 0.0; ///< of the path in contact, where it is in several pieces less than the span
    Instant enter = Instant::from_unix_seconds(0.0);
    Instant leave = Instant::from_unix_seconds(0.0);
    std::optional<double> depth_m; ///< nothing where not known at all
    bool depth_known = false;
    std::optional<double> critical_tide_m; ///< +infinity = at any tide
    std::optional<double> tide_m, water_m, required_water_m, spare_m, spare_doubt_m;
    double distance_m = 0.0; ///< nearest approach of the line
    geo::Point place;        ///< nearest point of the object in the plane
    geo::Point on_route;     ///< where the line comes nearest
    double nearest_at = 0.0; ///< path coordinate of that
};

/// A cut of the route with all its grades, the worst first.
struct Stretch {
    geo::Span span;
    struct Mark {
        hazard::Grade grade;
        hazard::Cause cause;
        bool operator==(const Mark&) const = default;
    };
    std::vector<Mark> marks; ///< empty = nothing found by these checks
};

/// The object under the line's corridor with the least water to spare, of all that are met at a known time.
/// Negative where water is missing.
struct Passing {
    std::string what;
    hazard::ObjectRef object;
    double spare_m = 0.0, spare_doubt_m = 0.0, water_m = 0.0, tide_m = 0.0;
    bool at_worst = false; ///< the shoal end of a range, or an assumed depth: it may be deeper
    Instant when = Instant::from_unix_seconds(0.0);
    double at = 0.0; ///< path coordinate
};

struct Tested {
    std::size_t hazards = 0;         ///< hazards within reach of the corridor
    std::size_t within_one_mile = 0; ///< whose bounds come within 1 NM
    double nearest_land_m = 0.0;     ///< distance to charted land, infinity where there is none
    double not_covered_m = 0.0;      ///< length of route no chart covers
};

struct Check {
    std::vector<Finding> findings;  ///< ranked
    std::vector<Stretch> stretches; ///< in order along the route
    std::optional<Passing> tightest;
    bool blocked = false; ///< something in the corridor no tide covers; `tightest` says nothing of it
    /// An object in the corridor of which nobody knows whether any tide covers it (obstruction "Stake");
    /// `tightest` says nothing of it. Empty: there is none.
    std::string may_block{};
    Tested tested;
    hazard::Grade worst = hazard::Grade::none_found; ///< of the stretches
};

/// Checks one departure. Contacts are exact (closed form); the lowest tide between entry and exit counts.
/// Throws Failure (plan) where a hazard within reach rests on a datum the tide is not linked to.
Check check(const Track& track, const Timetable& timetable, const hazard::Hazards& hazards,
            const Conditions& conditions);

} // namespace dangerline::passage
