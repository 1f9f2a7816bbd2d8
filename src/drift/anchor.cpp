#include "dangerline/drift/anchor.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

namespace dangerline::drift {

namespace {

/// Ropes compare equal to what they must be at the last bit of a product.
constexpr double hair = 1e-9;

double level_reach(double paid_out_m, double depth_m) {
    return std::sqrt(std::max(0.0, paid_out_m * paid_out_m - depth_m * depth_m));
}

bool chain_alone(double depth_m, const AnchorLine& line, const AnchorSea& sea) {
    return line.chain_m >= proportion_m(depth_m, sea, true) - hair;
}

} // namespace

double proportion_factor(const AnchorSea& sea, bool all_chain) {
    if (sea.breaking)
        return all_chain ? 7.0 : 10.0;
    if (sea.fresh_wind() || sea.fierce_stream() || sea.swell())
        return all_chain ? 5.0 : 8.0;
    return all_chain ? 4.0 : 6.0;
}

double least_factor(const AnchorSea& sea) {
    const int met = int(sea.fresh_wind()) + int(sea.fierce_stream()) + int(sea.swell());
    if (sea.breaking || met > 1)
        return least_factor_rougher;
    return met == 1 ? least_factor_rough : least_factor_good;
}

bool waves_break(double wave_m, double water_m) {
    return wave_m > breaking_share * std::max(0.0, water_m);
}

std::optional<double> depth_to_reckon_with(std::optional<Depth> deepest, std::optional<TideHeight> highest,
                                           double wave_height_m, double bow_height_m) {
    if (!deepest || !highest || !std::isfinite(deepest->metres()) || !std::isfinite(highest->metres()))
        return std::nullopt;
    const double water_m = std::max(0.0, (*deepest + *highest).metres());
    return water_m + wave_height_m / 2.0 + bow_height_m;
}

const char* to_text(RopeWord word) {
    switch (word) {
    case RopeWord::unknown:
        return "unknown";
    case RopeWord::too_short:
        return "does not reach";
    case RopeWord::reaches:
        return "reaches, and no more";
    case RopeWord::least:
        return "least, many authorities ask 5 or more";
    case RopeWord::in_proportion:
        return "in proportion";
    }
    return "";
}

double proportion_m(double depth_m, const AnchorSea& sea, bool all_chain) {
    return proportion_factor(sea, all_chain) * depth_m;
}

RopeWord rope_word(std::optional<double> depth_m, const AnchorLine& line, const AnchorSea& sea) {
    if (!depth_m)
        return RopeWord::unknown;
    if (line.aboard_m() >= proportion_m(*depth_m, sea, false) - hair || chain_alone(*depth_m, line, sea))
        return RopeWord::in_proportion;
    if (line.aboard_m() >= least_factor(sea) * *depth_m - hair)
        return RopeWord::least;
    return line.aboard_m() > *depth_m ? RopeWord::reaches : RopeWord::too_short;
}

double paid_out_m(double depth_m, const AnchorLine& line, const AnchorSea& sea) {
    // Without this a boat on all chain that adds a rope would have to let out more than before.
    if (chain_alone(depth_m, line, sea))
        return proportion_m(depth_m, sea, true);
    return std::min(line.aboard_m(), proportion_m(depth_m, sea, false));
}

double swing_radius_m(double paid_out_m, std::optional<double> depth_at_low_m, double boat_length_m,
                      double position_doubt_m) {
    const double depth_m = std::max(0.0, depth_at_low_m.value_or(0.0));
    return level_reach(paid_out_m, depth_m) + boat_length_m + position_doubt_m;
}

double decide_within_s(const Deadline& d) {
    constexpr double infinity = std::numeric_limits<double>::infinity();
    if (d.paid_out_m <= d.depth_m)
        return -infinity;
    if (d.drift_mps <= 0.0)
        return infinity;
    const double left_m = d.distance_m - d.boat_length_m - d.reaction_s * d.drift_mps -
                          level_reach(d.paid_out_m, d.depth_m) - d.set_distance_m;
    return left_m / d.drift_mps;
}

Brake brake_at(std::optional<double> depth_m, double distance_m, double drift_mps, const AnchorLine& line,
               const AnchorSea& sea, double boat_length_m) {
    Brake brake{rope_word(depth_m, line, sea), 0.0, {}};
    if (!depth_m)
        return brake;
    brake.paid_out_m = paid_out_m(*depth_m, line, sea);
    brake.decide_within_s = decide_within_s(
        {distance_m, drift_mps, *depth_m, brake.paid_out_m, boat_length_m, reaction_s, set_distance_m});
    return brake;
}

std::string chain_words(const AnchorLine& line) {
    if (line.chain_m >= good_chain_m)
        return {};
    return fmt::format("{:.1f} m of chain; common practice asks {:.0f} to {:.0f} m at least", line.chain_m,
                       least_chain_m, good_chain_m);
}

} // namespace dangerline::drift
