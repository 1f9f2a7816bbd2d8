// The 37 standard tidal constituents: speeds, equilibrium arguments, node factors.
#pragma once

#include <span>
#include <string_view>

#include "dangerline/base/time.hpp"

namespace dangerline::tide {

/// Mean longitudes in degrees, [0, 360): moon s, sun h, lunar perigee p, ascending lunar node N, solar
/// perigee p1. Schureman's Table 1, within 0.02° of newer theory between 1900 and 2100.
struct Longitudes {
    double s_deg = 0.0;
    double h_deg = 0.0;
    double p_deg = 0.0;
    double node_deg = 0.0;
    double p1_deg = 0.0;
};
Longitudes longitudes_at(Instant t);

/// The constituents whose node factors have a formula of their own; all others are powers of these.
enum class NodeBase { one, M2, O1, K1, K2, J1, OO1, Mf, Mm, L2, M1 };

/// f = f(base)^|power|, u = power × u(base), multiplied (added) over both bases.
struct NodeRule {
    NodeBase base = NodeBase::one;
    double power = 1.0;
    NodeBase second = NodeBase::one;
    double second_power = 1.0;
};

/// Equilibrium argument V = t·T + s·s + h·h + p·p + p1·p1 + offset_deg with T the hour angle of the mean sun
/// from *upper* transit: 180° at 00:00 UT.
struct Argument {
    int t = 0;
    int s = 0;
    int h = 0;
    int p = 0;
    int p1 = 0;
    double offset_deg = 0.0;
};

/// Speeds: IHO Tidal, Water Level and Currents Working Group, standard constituent list (2017).
/// Arguments and node rules: Schureman, Manual of Harmonic Analysis and Prediction of Tides (1940), Table 2,
/// with NOAA's use of M1 (no perigee in V, advanced at 14.4966939°/h) and of MSf (as S2 - M2).
struct Constituent {
    std::string_view name; ///< NOAA's spelling in capitals: "M2", "LAM2", "2MK3"
    double speed_deg_per_hour = 0.0;
    Argument argument{};
    NodeRule rule{};
};

/// All 37 in NOAA's order.
std::span<const Constituent> standard_constituents();
/// Null where the name is none of the 37; spelled exactly as above.
const Constituent* find_constituent(std::string_view name);

struct NodeFactor {
    double f = 1.0;
    double u_deg = 0.0;
};
/// Schureman's closed forms; node factors at these longitudes.
NodeFactor node_factor(const Constituent& constituent, const Longitudes& at);

/// V at that instant by the argument's integers, degrees in [0, 360).
double equilibrium_argument_deg(const Constituent& constituent, Instant t);

/// What NOAA uses for a whole calendar year: V0 at Greenwich on 1 January 00:00 UT, f and u at 2 July 12:00.
struct YearFactors {
    double v0_deg = 0.0; ///< [0, 360)
    double u_deg = 0.0;
    double f = 1.0;
};
YearFactors year_factors(const Constituent& constituent, int year);

} // namespace dangerline::tide
