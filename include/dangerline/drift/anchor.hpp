// The anchor as a brake: how much rope a depth asks for, what room a boat swings in, when rope must go out to
// stop a drift. Plain arithmetic; lengths in metres.
#pragma once

#include <optional>
#include <string>

#include "dangerline/base/quantities.hpp"

namespace dangerline::drift {

// Assumptions of this project.
inline constexpr double reaction_s = 120.0;          ///< from the engine's last turn until rope runs out
inline constexpr double set_distance_m = 20.0;       ///< an anchor drags so far before it digs in
inline constexpr double default_boat_length_m = 7.0; ///< where a plan gives none
inline constexpr double own_position_doubt_m = 10.0; ///< of the boat's fix, 95 %
inline constexpr double fresh_wind_mps = 8.0;        ///< from here on wind asks for more rope
inline constexpr double fierce_stream_kn = 2.0;      ///< and a stream
inline constexpr double swell_that_counts_m = 0.5;   ///< and the height of waves
/// Significant waves higher than this share of the water break (random waves on flat beds 0.4 to 0.5:
/// handbook figures after Kamphuis).
inline constexpr double breaking_share = 0.4;

// Common practice of small boat anglers; printed as a least, since many authorities ask 5 or more.
inline constexpr double least_factor_good = 3.0;
inline constexpr double least_factor_rough = 4.0;   ///< wind, stream or swell as above
inline constexpr double least_factor_rougher = 5.0; ///< two of them, or breaking water
inline constexpr double least_chain_m = 4.0, good_chain_m = 5.0;

/// What is carried to anchor with.
struct AnchorLine {
    double rope_m = 0.0;
    double chain_m = 0.0;
    double aboard_m() const { return rope_m + chain_m; }
};

/// What pulls at a boat while she lies. Nothing = not known, which counts as met.
struct AnchorSea {
    std::optional<double> wind_mps{};   ///< at 10 m
    std::optional<double> stream_mps{}; ///< largest rate
    std::optional<double> wave_m{};     ///< significant height, swell or wind sea, whichever is more
    bool breaking = false;              ///< surf, or waves too high for the water
    bool fresh_wind() const { return !wind_mps || *wind_mps >= fresh_wind_mps; }
    bool fierce_stream() const { return !stream_mps || *stream_mps >= fierce_stream_kn * mps_per_knot; }
    bool swell() const { return !wave_m || *wave_m >= swell_that_counts_m; }
};
/// Rope in proportion to the depth, as a multiple of it: 6 calm, 8 with fresh wind, fierce stream or swell,
/// 10 in breaking water; all chain 4, 5 and 7 (assumptions of this project).
double proportion_factor(const AnchorSea& sea, bool all_chain);
/// The least, by common practice: 3, 4 or 5 times the depth.
double least_factor(const AnchorSea& sea);

/// Whether waves of that significant height break in that much water.
bool waves_break(double wave_m, double water_m);

/// From the bottom to the bow roller at the most, metres: deepest bottom + highest tide of the hold time +
/// half the wave height + bow height. `deepest` is hazard::DepthBounds::no_deeper_than(), above the same
/// datum as the tide, doubts taken in. Nothing where either is not known or land. Never under the bow height.
std::optional<double> depth_to_reckon_with(std::optional<Depth> deepest, std::optional<TideHeight> highest,
                                           double wave_height_m, double bow_height_m);

/// What the rope aboard makes of a depth; each word holds what the one before it does.
enum class RopeWord {
    unknown,      ///< the depth is not known
    too_short,    ///< it does not reach the bottom
    reaches,      ///< longer than the depth
    least,        ///< least_factor() times the depth
    in_proportion ///< proportion_factor() times the depth, or as much chain as all chain would need
};
/// "in proportion", "least, many authorities ask 5 or more" ...
const char* to_text(RopeWord word);
RopeWord rope_word(std::optional<double> depth_m, const AnchorLine& line, const AnchorSea& sea);
/// Metres needed in all to be in proportion: of rope with chain, or of chain alone.
double proportion_m(double depth_m, const AnchorSea& sea, bool all_chain);

/// What to let out: in proportion, or all there is. More rope aboard never makes it longer where it is in
/// proportion already.
double paid_out_m(double depth_m, const AnchorLine& line, const AnchorSea& sea);

/// What a boat may touch around her anchor: the level reach of the rope at low water + boat length + doubt of
/// the place. `depth_at_low_m`: from the bottom to the bow roller, the least; nothing: not known, then the
/// whole rope counts. Below 0 it counts as 0.
double swing_radius_m(double paid_out_m, std::optional<double> depth_at_low_m, double boat_length_m,
                      double position_doubt_m = own_position_doubt_m);

struct Deadline {
    double distance_m = 0.0; ///< to the danger, along the drift
    double drift_mps = 0.0;
    double depth_m = 0.0; ///< to reckon with where the anchor falls
    double paid_out_m = 0.0;
    double boat_length_m = default_boat_length_m;
    double reaction_s = drift::reaction_s;
    double set_distance_m = drift::set_distance_m;
};
/// Seconds until the decision to let go must fall: what is left of the distance after boat length, reaction,
/// level reach of the rope and set distance, at the speed of the drift. Negative: too late already. +infinity
/// for no drift. A rope that does not reach stops nothing: -infinity.
double decide_within_s(const Deadline& deadline);

/// The anchor at one place of a drift.
struct Brake {
    RopeWord word = RopeWord::unknown;
    double paid_out_m = 0.0;
    /// Nothing where the depth is not known.
    std::optional<double> decide_within_s{};
    /// In proportion, and still in time. More rope never takes this away.
    bool stops() const {
        return word == RopeWord::in_proportion && decide_within_s && *decide_within_s >= 0.0;
    }
};
Brake brake_at(std::optional<double> depth_m, double distance_m, double drift_mps, const AnchorLine& line,
               const AnchorSea& sea, double boat_length_m = default_boat_length_m);

/// What common practice says of the length of chain before the rope; empty where it has nothing to say.
std::string chain_words(const AnchorLine& line);

} // namespace dangerline::drift
