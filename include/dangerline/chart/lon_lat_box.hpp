// A box in degrees.
#pragma once

namespace dangerline::chart {

/// Bounds in degrees, west <= east and south <= north; east may lie beyond 180 where a box runs across the
/// antimeridian.
struct LonLatBox {
    double west_deg = 0.0, south_deg = 0.0, east_deg = 0.0, north_deg = 0.0;
    bool operator==(const LonLatBox&) const = default;
};

/// Whether two boxes share a place, edges included; longitudes count modulo 360.
bool meet(const LonLatBox& a, const LonLatBox& b);

} // namespace dangerline::chart
