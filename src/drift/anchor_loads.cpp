#include "dangerline/drift/anchor_loads.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

namespace dangerline::drift {

namespace {

constexpr double metres_per_foot = 0.3048;

constexpr ChainRow chains[] = {{6, 0.80, 10},  {7, 1.15, 16},  {8, 1.40, 20}, {10, 2.25, 32},
                               {12, 3.25, 35}, {13, 3.90, 50}, {14, 4.25, 63}};

constexpr std::array<double, 8> lengths_ft{20, 25, 30, 35, 40, 50, 60, 70};
constexpr std::array<double, 4> winds_kn{15, 30, 42, 60};
constexpr double loads_lbf[4][8] = {{90, 125, 175, 225, 300, 400, 500, 675},
                                    {360, 490, 700, 900, 1200, 1600, 2000, 2700},
                                    {720, 980, 1400, 1800, 2400, 3200, 4000, 5400},
                                    {1440, 1960, 2800, 3600, 4800, 6400, 8000, 10800}};

/// The first that is not less; a hair over a column is that column.
template <std::size_t N>
std::optional<std::size_t> next_up(const std::array<double, N>& steps, double value) {
    constexpr double hair = 1e-9;
    const auto it = std::find_if(steps.begin(), steps.end(), [&](double s) { return s >= value - hair; });
    return it == steps.end() ? std::nullopt : std::optional(std::size_t(it - steps.begin()));
}

/// How high the line rises when the anchor is pulled up with `lift_n`, the whole of it off the bottom.
double rise_of(const LineOut& out, double load_n, double lift_n) {
    const double top_n = lift_n + out.newtons_per_m * out.chain_m;
    double rise = out.rope_m * std::sin(std::atan2(top_n, load_n));
    if (out.newtons_per_m > 0.0)
        rise += (std::hypot(load_n, top_n) - std::hypot(load_n, lift_n)) / out.newtons_per_m;
    else
        rise += out.chain_m * std::sin(std::atan2(lift_n, load_n));
    return rise;
}

double degrees(double rise, double run) {
    return std::atan2(rise, run) * 180.0 / std::numbers::pi;
}

} // namespace

std::span<const ChainRow> chain_rows() {
    return chains;
}

std::optional<double> chain_kg_per_m(double mm) {
    for (const auto& row : chains)
        if (std::abs(row.mm - mm) < 0.01)
            return row.kg_per_m;
    return std::nullopt;
}

std::optional<double> chain_newtons_per_m(double mm) {
    const auto kg = chain_kg_per_m(mm);
    return kg ? std::optional(*kg * gravity * steel_in_sea_water) : std::nullopt;
}

std::optional<double> anchor_load_n(double boat_length_m, double wind_mps) {
    const auto column = next_up(lengths_ft, boat_length_m / metres_per_foot);
    const auto row = next_up(winds_kn, wind_mps / mps_per_knot);
    if (!column || !row)
        return std::nullopt;
    return loads_lbf[*row][*column] * newtons_per_pound_force;
}

double flat_chain_m(double height_m, double load_n, double newtons_per_m) {
    return std::sqrt(height_m * (height_m + 2.0 * load_n / newtons_per_m));
}

double lifting_load_n(double height_m, double chain_m, double newtons_per_m) {
    return newtons_per_m * (chain_m * chain_m - height_m * height_m) / (2.0 * height_m);
}

LineOut line_out(const AnchorLine& line, double paid_out_m, std::optional<double> chain_mm) {
    const double chain_m = std::min(line.chain_m, paid_out_m);
    return {std::max(0.0, paid_out_m - chain_m), chain_m,
            chain_mm ? chain_newtons_per_m(*chain_mm).value_or(0.0) : 0.0};
}

std::optional<double> pull_angle_deg(const LineOut& out, double height_m, double load_n) {
    if (out.rope_m + out.chain_m <= height_m * (1.0 + 1e-9)) // upright has no angle to look for
        return std::nullopt;
    // Pulled level the line hangs at least so high; the roller is lower, so some chain lies on the bottom.
    if (rise_of(out, load_n, 0.0) >= height_m)
        return 0.0;
    double low = 0.0, high = load_n + out.newtons_per_m * out.chain_m + 1.0;
    while (rise_of(out, load_n, high) < height_m)
        high *= 2.0;
    while (degrees(high, load_n) - degrees(low, load_n) > 1e-7) {
        const double middle = (low + high) / 2.0;
        (rise_of(out, load_n, middle) < height_m ? low : high) = middle;
    }
    return degrees(high, load_n);
}

std::optional<double> angle_factor(double degrees) {
    if (!(degrees >= 0.0 && degrees <= 15.0))
        return std::nullopt;
    return degrees <= 5.0 ? 1.0 - 0.25 * degrees / 5.0 : 0.75 - 0.25 * (degrees - 5.0) / 10.0;
}

} // namespace dangerline::drift
