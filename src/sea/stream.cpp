#include "dangerline/sea/stream.hpp"

#include <cmath>
#include <numbers>

namespace dangerline::sea {

namespace {
constexpr double deg = std::numbers::pi / 180.0;
}

double Stream::rate_mps() const {
    return std::hypot(east_mps, north_mps);
}

double Stream::set_deg() const {
    const double set = std::atan2(east_mps, north_mps) / deg;
    return set < 0.0 ? set + 360.0 : set;
}

Stream stream_of(double set_deg, double rate_mps) {
    return {rate_mps * std::sin(set_deg * deg), rate_mps * std::cos(set_deg * deg)};
}

double angle_between_deg(const Stream& a, const Stream& b) {
    const double dot = a.east_mps * b.east_mps + a.north_mps * b.north_mps;
    const double cross = a.east_mps * b.north_mps - a.north_mps * b.east_mps;
    return std::abs(std::atan2(cross, dot)) / deg;
}

} // namespace dangerline::sea
