// What pulls at an anchor and at which angle: published loads, chain weights, the catenary. Cross-checks
// beside the multiples of the depth, never instead of them.
#pragma once

#include <optional>
#include <span>

#include "dangerline/drift/anchor.hpp"

namespace dangerline::drift {

inline constexpr double newtons_per_pound_force = 4.4482216152605;
inline constexpr double gravity = 9.81;            ///< m/s2
inline constexpr double steel_in_sea_water = 0.87; ///< of its weight in air (from memory)

/// Galvanised short link chain: DIN 766 and ISO 4565 sizes as dealers' tables print them.
struct ChainRow {
    double mm = 0.0, kg_per_m = 0.0, proof_kn = 0.0;
};
std::span<const ChainRow> chain_rows();
/// Nothing for a size the table lacks.
std::optional<double> chain_kg_per_m(double mm);
/// Newton a metre in sea water.
std::optional<double> chain_newtons_per_m(double mm);

/// Horizontal load on an anchored boat in newtons by ABYC H-40 Table 1 (15, 30, 42 and 60 kn; 20 to 70 ft).
/// The table is not interpolated: the next longer boat and the next stronger wind count, boats under 20 ft as
/// 20 ft, wind under 15 kn as 15 kn. Nothing for wind over 60 kn and boats over 70 ft.
std::optional<double> anchor_load_n(double boat_length_m, double wind_mps);

/// Shortest chain that still lies flat at the anchor: sqrt(h (h + 2 H / w)). h: bottom to bow roller, m; H:
/// horizontal load, N; w: weight in water, N/m; all positive.
double flat_chain_m(double height_m, double load_n, double newtons_per_m);
/// The reverse: the load that just lifts the last link of `chain_m` (longer than the height), in newtons.
double lifting_load_n(double height_m, double chain_m, double newtons_per_m);

/// How much of the line is out and what it weighs, from the anchor up.
struct LineOut {
    double rope_m = 0.0;
    double chain_m = 0.0;
    double newtons_per_m = 0.0; ///< of the chain, in water; 0: not known, counts as none
};
/// All chain first, rope for the rest.
LineOut line_out(const AnchorLine& line, double paid_out_m, std::optional<double> chain_mm);
/// Degrees above the bottom at which the line pulls at the anchor under that horizontal load; rope is
/// straight and weighs nothing, nothing stretches. 0 while chain lies on the bottom. Good to 1e-6 degree.
/// Nothing where the line does not reach.
std::optional<double> pull_angle_deg(const LineOut& out, double height_m, double load_n);

/// What is left of the holding when the pull rises above the bottom: 1 at 0, 3/4 at 5, 1/2 at 15 degrees
/// (after Danton, The Theory and Practice of Seamanship), straight between. Nothing above 15.
std::optional<double> angle_factor(double degrees);

} // namespace dangerline::drift
