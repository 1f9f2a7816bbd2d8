#include "dangerline/tide/constituents.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace dangerline::tide {

namespace {

constexpr double degree = std::numbers::pi / 180.0;

double turned(double deg) {
    const double r = std::fmod(deg, 360.0);
    return r < 0.0 ? r + 360.0 : r;
}

constexpr NodeRule one{};
constexpr NodeRule m2{NodeBase::M2};
constexpr NodeRule o1{NodeBase::O1};
constexpr NodeRule m2_to(double power) {
    return {NodeBase::M2, power};
}
constexpr NodeRule own(NodeBase base) {
    return {base};
}

// Compounds carry the sum of their parts' arguments: MK3 = M2 + K1, 2SM2 = 2·S2 - M2.
constexpr std::array<Constituent, 37> table{{
    {"M2", 28.9841042, {2, -2, 2, 0, 0, 0}, m2},
    {"S2", 30.0, {2, 0, 0, 0, 0, 0}, one},
    {"N2", 28.4397295, {2, -3, 2, 1, 0, 0}, m2},
    {"K1", 15.0410686, {1, 0, 1, 0, 0, -90}, own(NodeBase::K1)},
    {"M4", 57.9682085, {4, -4, 4, 0, 0, 0}, m2_to(2)},
    {"O1", 13.9430356, {1, -2, 1, 0, 0, 90}, o1},
    {"M6", 86.9523127, {6, -6, 6, 0, 0, 0}, m2_to(3)},
    {"MK3", 44.0251729, {3, -2, 3, 0, 0, -90}, {NodeBase::M2, 1, NodeBase::K1, 1}},
    {"S4", 60.0, {4, 0, 0, 0, 0, 0}, one},
    {"MN4", 57.4238338, {4, -5, 4, 1, 0, 0}, m2_to(2)},
    {"NU2", 28.5125832, {2, -3, 4, -1, 0, 0}, m2},
    {"S6", 90.0, {6, 0, 0, 0, 0, 0}, one},
    {"MU2", 27.9682085, {2, -4, 4, 0, 0, 0}, m2},
    {"2N2", 27.8953548, {2, -4, 2, 2, 0, 0}, m2},
    {"OO1", 16.1391017, {1, 2, 1, 0, 0, -90}, own(NodeBase::OO1)},
    {"LAM2", 29.4556253, {2, -1, 0, 1, 0, 180}, m2},
    {"S1", 15.0, {1, 0, 0, 0, 0, 0}, one},
    {"M1", 14.4966939, {1, -1, 1, 0, 0, -90}, own(NodeBase::M1)},
    {"J1", 15.5854433, {1, 1, 1, -1, 0, -90}, own(NodeBase::J1)},
    {"MM", 0.5443747, {0, 1, 0, -1, 0, 0}, own(NodeBase::Mm)},
    {"SSA", 0.0821373, {0, 0, 2, 0, 0, 0}, one},
    {"SA", 0.0410686, {0, 0, 1, 0, 0, 0}, one},
    {"MSF", 1.0158958, {0, 2, -2, 0, 0, 0}, m2_to(-1)},
    {"MF", 1.0980330, {0, 2, 0, 0, 0, 0}, own(NodeBase::Mf)},
    {"RHO", 13.4715145, {1, -3, 3, -1, 0, 90}, o1},
    {"Q1", 13.3986609, {1, -3, 1, 1, 0, 90}, o1},
    {"T2", 29.9589333, {2, 0, -1, 0, 1, 0}, one},
    {"R2", 30.0410667, {2, 0, 1, 0, -1, 180}, one},
    {"2Q1", 12.8542862, {1, -4, 1, 2, 0, 90}, o1},
    {"P1", 14.9589314, {1, 0, -1, 0, 0, 90}, one},
    {"2SM2", 31.0158958, {2, 2, -2, 0, 0, 0}, m2_to(-1)},
    {"M3", 43.4761564, {3, -3, 3, 0, 0, 0}, m2_to(1.5)},
    {"L2", 29.5284789, {2, -1, 2, -1, 0, 180}, own(NodeBase::L2)},
    {"2MK3", 42.9271398, {3, -4, 3, 0, 0, 90}, {NodeBase::M2, 2, NodeBase::K1, -1}},
    {"K2", 30.0821373, {2, 0, 2, 0, 0, 0}, own(NodeBase::K2)},
    {"M8", 115.9364170, {8, -8, 8, 0, 0, 0}, m2_to(4)},
    {"MS4", 58.9841042, {4, -2, 2, 0, 0, 0}, m2},
}};

/// The moon's orbit against the equator, radians (Schureman §§ 21-26): inclination I, right ascension nu of
/// the intersection, xi its longitude in the orbit.
struct Orbit {
    double i = 0.0;
    double xi = 0.0;
    double nu = 0.0;
    double p = 0.0; ///< perigee from the intersection, Schureman's P
};

Orbit orbit_at(const Longitudes& at) {
    // Schureman's epoch-1900 constants: 5.145° orbit to ecliptic, 23.452° ecliptic to equator.
    const double node = std::remainder(at.node_deg, 360.0) * degree;
    const double a = std::atan(1.01883 * std::tan(node / 2.0)); // half (N - xi + nu)
    const double b = std::atan(0.64412 * std::tan(node / 2.0)); // half (N - xi - nu)
    Orbit o;
    o.i = std::acos(0.91370 - 0.03569 * std::cos(node));
    o.nu = a - b;
    o.xi = node - a - b;
    o.p = at.p_deg * degree - o.xi;
    return o;
}

struct Factor {
    double f = 1.0;
    double u = 0.0; // radians
};

double sqr(double x) {
    return x * x;
}

Factor factor_m2(const Orbit& o) {
    return {sqr(sqr(std::cos(o.i / 2))) / 0.9154, 2 * (o.xi - o.nu)};
}
Factor factor_o1(const Orbit& o) {
    return {std::sin(o.i) * sqr(std::cos(o.i / 2)) / 0.3800, 2 * o.xi - o.nu};
}

Factor factor_k1(const Orbit& o) {
    const double s = std::sin(2 * o.i);
    return {std::sqrt(0.8965 * s * s + 0.6001 * s * std::cos(o.nu) + 0.1006),
            -std::atan2(s * std::sin(o.nu), s * std::cos(o.nu) + 0.3347)};
}

Factor factor_k2(const Orbit& o) {
    const double s = sqr(std::sin(o.i));
    return {std::sqrt(19.0444 * s * s + 2.7702 * s * std::cos(2 * o.nu) + 0.0981),
            -std::atan2(s * std::sin(2 * o.nu), s * std::cos(2 * o.nu) + 0.0727)};
}

Factor factor_l2(const Orbit& o) {
    const double t = sqr(std::tan(o.i / 2));
    const Factor m = factor_m2(o);
    const double r = std::atan2(std::sin(2 * o.p), 1.0 / (6.0 * t) - std::cos(2 * o.p));
    return {m.f * std::sqrt(1.0 - 12.0 * t * std::cos(2 * o.p) + 36.0 * t * t), m.u - r};
}

Factor factor_m1(const Orbit& o) {
    const double c = std::cos(o.i), h = sqr(std::cos(o.i / 2));
    // Q lies in the quadrant of P, hence atan2 over both parts.
    const double q = std::atan2((5 * c - 1) * std::sin(o.p), (7 * c + 1) * std::cos(o.p));
    return {factor_o1(o).f * std::sqrt(0.25 + 1.5 * c * std::cos(2 * o.p) / h + 2.25 * c * c / (h * h)),
            o.xi - o.nu + q};
}

/// Schureman, formulas 73 to 235; constants from memory, proven against NOAA's predictions in the tests.
Factor base_factor(NodeBase base, const Orbit& o) {
    const double sin_i = std::sin(o.i);
    switch (base) {
    case NodeBase::one:
        return {};
    case NodeBase::M2:
        return factor_m2(o);
    case NodeBase::O1:
        return factor_o1(o);
    case NodeBase::K1:
        return factor_k1(o);
    case NodeBase::K2:
        return factor_k2(o);
    case NodeBase::J1:
        return {std::sin(2 * o.i) / 0.7214, -o.nu};
    case NodeBase::OO1:
        return {sin_i * sqr(std::sin(o.i / 2)) / 0.0164, -2 * o.xi - o.nu};
    case NodeBase::Mf:
        return {sin_i * sin_i / 0.1578, -2 * o.xi};
    case NodeBase::Mm:
        return {(2.0 / 3.0 - sin_i * sin_i) / 0.5021, 0.0};
    case NodeBase::L2:
        return factor_l2(o);
    case NodeBase::M1:
        return factor_m1(o);
    }
    return {};
}

} // namespace

Longitudes longitudes_at(Instant t) {
    // Schureman, Table 1: Julian centuries of UT from 1899-12-31 12:00, figures from memory. NOAA's practice
    // keeps them, though the moon stands 0.015° off newer theory today.
    const double c = (t.unix_seconds() / 86400.0 + 25567.5) / 36525.0;
    const auto sum = [c](double at_epoch, double first, double second, double third) {
        return turned(at_epoch + (first + (second + third * c) * c) * c);
    };
    return {.s_deg = sum(270.43659, 481267.89057, 0.00198, 0.000002),
            .h_deg = sum(279.69660, 36000.76892, 0.00030, 0.0),
            .p_deg = sum(334.32956, 4069.03403, -0.01032, -0.000010),
            .node_deg = sum(259.18328, -1934.14201, 0.00208, 0.000002),
            .p1_deg = sum(281.22083, 1.71902, 0.00045, 0.000003)};
}

std::span<const Constituent> standard_constituents() {
    return table;
}

const Constituent* find_constituent(std::string_view name) {
    const auto at = std::find_if(table.begin(), table.end(), [&](const auto& c) { return c.name == name; });
    return at == table.end() ? nullptr : &*at;
}

NodeFactor node_factor(const Constituent& constituent, const Longitudes& at) {
    const Orbit orbit = orbit_at(at);
    const NodeRule& rule = constituent.rule;
    const Factor a = base_factor(rule.base, orbit), b = base_factor(rule.second, orbit);
    return {.f = std::pow(a.f, std::abs(rule.power)) * std::pow(b.f, std::abs(rule.second_power)),
            .u_deg = std::remainder((rule.power * a.u + rule.second_power * b.u) / degree, 360.0)};
}

double equilibrium_argument_deg(const Constituent& constituent, Instant t) {
    const Longitudes at = longitudes_at(t);
    const double day = t.unix_seconds() / 86400.0;
    const double hour_angle = 360.0 * (day - std::floor(day)) + 180.0;
    const Argument& a = constituent.argument;
    return turned(a.t * hour_angle + a.s * at.s_deg + a.h * at.h_deg + a.p * at.p_deg + a.p1 * at.p1_deg +
                  a.offset_deg);
}

YearFactors year_factors(const Constituent& constituent, int year) {
    const Instant begin = start_of({year, 1, 1});
    const Instant middle = start_of({year, 7, 2}) + 12 * 3600.0;
    const NodeFactor node = node_factor(constituent, longitudes_at(middle));
    return {.v0_deg = equilibrium_argument_deg(constituent, begin), .u_deg = node.u_deg, .f = node.f};
}

} // namespace dangerline::tide
