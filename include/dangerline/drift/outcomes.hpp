// What an ensemble of drifting boats comes to: shares, times, places, outlines.
#pragma once

#include <optional>
#include <vector>

#include "dangerline/drift/ensemble.hpp"
#include "dangerline/geo/regions.hpp"

namespace dangerline::drift {

/// The first thing that becomes of a boat.
struct Outcome {
    enum class Kind : std::uint8_t {
        danger,  ///< it enters the danger zone of `hazard`
        unknown, ///< before any danger it comes to where nothing can be said: `end` says why
        afloat   ///< neither in the time looked at
    };
    Kind kind = Kind::afloat;
    std::optional<std::size_t> hazard{}; ///< of a danger, and of unknown water: number in Hazards::all
    End end = End::afloat;               ///< of unknown
    double share = 0.0;                  ///< of all boats; over all outcomes they sum to one
    double touched_share = 0.0;          ///< of all boats: enter this zone first and touch something later
    /// Seconds; of the boats of this outcome the earliest 5 % and the middle one. Of afloat the time looked
    /// at.
    double early_s = 0.0, median_s = 0.0;
    double first_s = 0.0; ///< the very first of them
    double moved_m =
        0.0; ///< of a danger: most that its zone is wider, by its moving bottom, where they enter
};

/// Times by which a share of all boats has met something; infinity where fewer have.
struct Times {
    double early_s = 0.0;  ///< 5 %: what this project calls earliest
    double median_s = 0.0; ///< half
    double late_s = 0.0;   ///< 95 %
};

/// Where boats of one outcome end up together.
struct Cluster {
    std::size_t hazard = 0;
    geo::Point place{}; ///< mean of where they enter the zone
    double share = 0.0; ///< of all boats
    double median_s = 0.0;
    double moved_m = 0.0; ///< as of an outcome
};
/// Boats whose entries lie in neighbouring squares of this size belong together.
inline constexpr double cluster_m = 250.0;

/// The smallest area, by a smoothed density, with that share of the boats in it.
struct Outline {
    int hour = 0;
    double share = 0.0;
    std::vector<geo::PolygonRings> area{};
};

/// What follows for the boat in the middle of those that touch the obstacle touched most.
struct Aground {
    std::size_t hazard = 0;
    double share = 0.0; ///< of all boats touch it
    Instant touched = Instant::from_unix_seconds(0.0);
    std::optional<bool> falling{}; ///< the tide, then; nothing: not known
    bool at_any_tide = false;      ///< no tide floats it off
    /// The tide is up again: to the level at which it floats, by the boat's own clock of the tide and by the
    /// one foretold, and to the height foretold for when it touched. Nothing: not as far as is known.
    std::optional<Instant> until{};
    Instant followed_to = Instant::from_unix_seconds(0.0); ///< the tide was, so far
};

struct Summary {
    std::vector<Outcome> outcomes{}; ///< dangers by share, then unknown, then afloat
    Times trouble{};                 ///< danger, or the end of what is known: minutes in hand
    Times zone{};                    ///< danger alone
    Times touch{};
    double touched_share = 0.0;
    /// The hazard that the earliest meet (trouble.early_s); nothing where they leave what is known.
    std::optional<std::size_t> soonest{};
    double soonest_moved_m = 0.0; ///< its zone is so much wider there, by its moving bottom
    /// How the earliest leave what is known, where they meet no danger, and in what water nobody charted.
    /// afloat: they don't.
    End soonest_end = End::afloat;
    std::optional<std::size_t> soonest_water{};
    std::vector<Cluster> clusters{}; ///< by share
    std::optional<Aground> aground{};
};
Summary summarise(const Ensemble& ensemble, const Adrift& adrift, const Dangers& dangers);

/// The value that a share of the numbers does not exceed: the ceil(share n)-th smallest. Infinity for none.
double quantile(std::vector<double> values, double share);

/// Outlines at every whole hour for half and nine in ten of the boats.
std::vector<Outline> outlines(const Ensemble& ensemble);
/// The outline of one cloud of points; empty for fewer than ten.
std::vector<geo::PolygonRings> outline(const std::vector<geo::Point>& points, double share);

} // namespace dangerline::drift
