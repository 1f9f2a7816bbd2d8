#include "plane_fit.hpp"

#include <numbers>

namespace dangerline::geo {

namespace {

template <std::size_t N>
using Square = std::array<std::array<double, N>, N>;

/// Coefficients of the powers in the Chebyshev polynomial of each degree.
template <std::size_t N>
Square<N> chebyshev_powers() {
    Square<N> rows{};
    rows[0][0] = 1.0;
    rows[1][1] = 1.0;
    for (std::size_t n = 2; n < N; ++n)
        for (std::size_t i = 0; i < N; ++i)
            rows[n][i] = (i > 0 ? 2.0 * rows[n - 1][i - 1] : 0.0) - rows[n - 2][i];
    return rows;
}

/// The Chebyshev polynomial of each degree at each of N nodes; of degree 1 these are the nodes.
template <std::size_t N>
Square<N> chebyshev_at_nodes() {
    Square<N> rows{};
    for (std::size_t n = 0; n < N; ++n)
        for (std::size_t i = 0; i < N; ++i)
            rows[n][i] = std::cos(std::numbers::pi * static_cast<double>(n * (2 * i + 1)) /
                                  static_cast<double>(2 * N));
    return rows;
}

} // namespace

PlaneFit::PlaneFit(double centre_lat_deg, const std::function<Point(double, double)>& project) {
    if (!(std::abs(centre_lat_deg) <= most_lat_deg))
        return;
    most_east_deg_ = most_north_deg / std::cos(centre_lat_deg * std::numbers::pi / 180.0);
    square_scale_ = 2.0 / (most_east_deg_ * most_east_deg_);
    // Interpolation at Chebyshev nodes, what is beyond the degree left out, then sorted by powers.
    const auto square = chebyshev_at_nodes<powers>();
    const auto north = chebyshev_at_nodes<places>();
    std::array<std::array<Point, places>, powers> at{};
    for (std::size_t j = 0; j < powers; ++j)
        for (std::size_t k = 0; k < places; ++k) {
            const double east = most_east_deg_ * std::sqrt((square[1][j] + 1.0) / 2.0);
            const Point p = project(east, most_north_deg * north[1][k]);
            at[j][k] = {p.x / east, p.y};
        }
    const auto power = chebyshev_powers<places>();
    for (std::size_t a = 0; a < powers; ++a)
        for (std::size_t b = 0; b <= degree(a); ++b) {
            Point sum;
            for (std::size_t j = 0; j < powers; ++j)
                for (std::size_t k = 0; k < places; ++k) {
                    const double weight = square[a][j] * north[b][k];
                    sum = {sum.x + weight * at[j][k].x, sum.y + weight * at[j][k].y};
                }
            const double mean = (a > 0 ? 2.0 : 1.0) * (b > 0 ? 2.0 : 1.0) / double{powers * places};
            for (std::size_t j = 0; j <= a; ++j)
                for (std::size_t k = 0; k <= b; ++k) {
                    const double share = mean * power[a][j] * power[b][k];
                    Point& c = coefficients_[j][k];
                    c = {c.x + share * sum.x, c.y + share * sum.y};
                }
        }
}

} // namespace dangerline::geo
