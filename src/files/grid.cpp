#include "dangerline/files/grid.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace dangerline::files {

namespace {

constexpr double near_zero = 1e-9;

/// Number of the node at or before x, and the share towards the next; nothing outside.
struct Cell {
    std::size_t first = 0;
    double share = 0.0;
};
std::optional<Cell> cell_of(double x, std::size_t count) {
    if (!(x >= -near_zero) || !(x <= static_cast<double>(count - 1) + near_zero))
        return std::nullopt;
    x = std::clamp(x, 0.0, static_cast<double>(count - 1));
    Cell cell{static_cast<std::size_t>(x), 0.0};
    cell.share = x - static_cast<double>(cell.first);
    if (cell.share < near_zero)
        cell.share = 0.0;
    return cell;
}

} // namespace

std::optional<EastNorth> VectorGrid::value(geo::Position place, Instant t) const {
    if (times.empty() || t < times.front() || t > times.back())
        return std::nullopt;
    const auto later = std::upper_bound(times.begin(), times.end(), t);
    Cell time{static_cast<std::size_t>(later - times.begin()) - 1, 0.0};
    if (later != times.end())
        time.share = (t - times[time.first]) / (*later - times[time.first]);
    const double lon =
        geo::longitude_near(place.lon_deg, west_deg + step_lon_deg * static_cast<double>(columns) / 2.0);
    const auto column = cell_of((lon - west_deg) / step_lon_deg, columns);
    const auto row = cell_of((place.lat_deg - south_deg) / step_lat_deg, rows);
    if (!column || !row)
        return std::nullopt;
    EastNorth sum;
    for (std::size_t k = 0; k < 8; ++k) {
        const double weight = ((k & 1) ? column->share : 1.0 - column->share) *
                              ((k & 2) ? row->share : 1.0 - row->share) *
                              ((k & 4) ? time.share : 1.0 - time.share);
        if (weight == 0.0) // it may not even exist
            continue;
        const std::size_t at = ((time.first + (k >> 2)) * rows + row->first + ((k >> 1) & 1)) * columns +
                               column->first + (k & 1);
        sum.east += weight * static_cast<double>(east[at]);
        sum.north += weight * static_cast<double>(north[at]);
    }
    if (!std::isfinite(sum.east) || !std::isfinite(sum.north))
        return std::nullopt;
    return sum;
}

} // namespace dangerline::files
