// Lower bounds of distances on a raster. Private to the room.
#pragma once

#include <cstdint>
#include <vector>

#include "dangerline/drift/dangers.hpp"

namespace dangerline::drift {

/// For each cell the highest tide at which something is in force that reaches into the cell.
class TideRaster {
  public:
    TideRaster(const geo::Box& box, double cell_m);
    std::int32_t columns() const { return columns_; }
    std::int32_t rows() const { return rows_; }
    /// Everything within `radius_m` of the shape is in force below that tide.
    void add(const geo::Shape& shape, double radius_m, float below_m);
    /// For each cell (row from the south, column): metres from its middle to anything in force at `tide_m`,
    /// never too many; infinity where there is none.
    std::vector<float> bounds(float tide_m) const;

  private:
    void raise(std::int32_t column, std::int32_t row, float below_m);
    void add_edge(geo::Point a, geo::Point b, double radius_m, float below_m);
    void fill(const geo::Shape& area, float below_m);
    geo::Point corner_;
    double cell_;
    std::int32_t columns_, rows_;
    std::vector<float> below_;
};

DistanceBounds distance_bounds(const TideRaster& zones, const TideRaster& touches, float tide_m);

} // namespace dangerline::drift
