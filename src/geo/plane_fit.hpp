// The projection of a plane as polynomials around its centre. Private to the room.
#pragma once

#include <array>
#include <cmath>
#include <cstddef>
#include <functional>

#include "dangerline/geo/plane.hpp"

namespace dangerline::geo {

/// Polynomials that stand for a projection near its centre. It must be symmetric about the centre's meridian:
/// then x / east and y are polynomials in north and in east squared. Measured: 20 ns a place where PROJ takes
/// 120; how near they come is told in plane.hpp.
class PlaneFit {
  public:
    /// `project` takes degrees east and north of the centre, and is asked at 24 places.
    PlaneFit(double centre_lat_deg, const std::function<Point(double, double)>& project);

    /// Whether the fit stands for this place, in degrees east and north of the centre; not for what is no
    /// number.
    bool covers(double east_deg, double north_deg) const {
        return std::abs(east_deg) <= most_east_deg_ && std::abs(north_deg) <= most_north_deg;
    }
    /// The same operations in the same order wherever it is compiled: a place has one image, bit for bit.
    Point at(double east_deg, double north_deg) const {
        const double square = square_scale_ * (east_deg * east_deg) - 1.0;
        Point sum;
        for (std::size_t j = powers; j-- > 0;) {
            const auto& row = coefficients_[j];
            Point part = row[degree(j)];
            for (std::size_t k = degree(j); k-- > 0;)
                part = {part.x * north_deg + row[k].x, part.y * north_deg + row[k].y};
            sum = {sum.x * square + part.x, sum.y * square + part.y};
        }
        return {sum.x * east_deg, sum.y};
    }

  private:
    static constexpr double most_north_deg = 1.0; ///< of one degree, the polynomials in north need no scale
    static constexpr double most_lat_deg = 80.0;  ///< of the centre
    static constexpr std::size_t powers = 4;      ///< of east squared, from 0
    static constexpr std::size_t places = 6;      ///< from south to north
    static constexpr std::size_t degree(std::size_t power) { return places - 1 - power; }

    double most_east_deg_ = -1.0; ///< covers nothing
    double square_scale_ = 0.0;   ///< east squared from -1 to 1
    std::array<std::array<Point, places>, powers> coefficients_{};
};

} // namespace dangerline::geo
