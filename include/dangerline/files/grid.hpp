// Gridded forecasts of a vector: streams or winds in CF netCDF or GRIB2.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/time.hpp"
#include "dangerline/geo/position.hpp"

namespace dangerline::files {

enum class GridQuantity { stream, wind };

/// Towards east and north, metres a second.
struct EastNorth {
    double east = 0.0;
    double north = 0.0;
};

/// A vector on a regular grid of longitude and latitude at a list of times. Nodes may be missing.
struct VectorGrid {
    std::string source{};         ///< file name
    std::vector<Instant> times{}; ///< ascending
    double west_deg = 0.0, south_deg = 0.0, step_lon_deg = 0.0, step_lat_deg = 0.0;
    std::size_t columns = 0, rows = 0;
    std::vector<float> east{}, north{}; ///< time, row from the south, column; NaN where missing

    /// Linear in place (four nodes) and time. Nothing outside the grid or the times (the last value is never
    /// held), and where a node that counts is missing.
    std::optional<EastNorth> value(geo::Position place, Instant t) const;
};

/// Reads the two components by CF standard name (eastward_sea_water_velocity ..., eastward_wind ..., also
/// surface_ ones) or GRIB2 discipline, category and number (10 1 2 and 10 1 3; 0 2 2 and 0 2 3), through
/// GDAL's multidimensional arrays. Packed values are unpacked after the test for missing ones; of several
/// depths the shallowest counts. Messages of one step each and arrays over time are both taken.
/// Failures (Fault::data): no such file or arrays, components along the grid's own axes (x and y velocity),
/// a unit other than metres a second or knots, a grid that is not regular in longitude and latitude, times
/// that can't be read or are out of order, components on different grids.
VectorGrid read_vector_grid(const std::filesystem::path& path, GridQuantity quantity);

} // namespace dangerline::files
