// Lower bounds of distances on a raster. Private to the room.
#pragma once

#include <cstdint>
#include <vector>

#include "dangerline/geo/shape.hpp"

namespace dangerline::drift {

/// For each cell the highest tide at which something is in force that reaches into the cell.
class TideRaster {
  public:
    TideRaster(const geo::Box& box, double cell_m);
    std::int32_t columns() const { return columns_; }
    std::int32_t rows() const { return rows_; }
    /// Everything within `radius_m` of the shape is in force below that tide.
    void add(const geo::Shape& shape, double radius_m, float below_m);
    /// For each cell: whole metres from anywhere in it to the nearest cell with something in force at
    /// `tide_m`, never too many; at most 32767.
    std::vector<std::int16_t> bounds(float tide_m) const;

  private:
    void raise(std::int32_t column, std::int32_t row, float below_m);
    void add_edge(geo::Point a, geo::Point b, double radius_m, float below_m);
    void fill(const geo::Shape& area, float below_m);
    geo::Point corner_;
    double cell_;
    std::int32_t columns_, rows_;
    std::vector<float> below_;
};

} // namespace dangerline::drift
