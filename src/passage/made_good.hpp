// The triangle of speeds on one course. Private to the room.
#pragma once

#include <cmath>
#include <limits>
#include <numbers>

#include "dangerline/sea/stream.hpp"

namespace dangerline::passage {

/// What make_good() tells of one course over and over: all but the course to steer.
class OnCourse {
  public:
    explicit OnCourse(double course_deg)
        : east_(std::sin(course_deg * deg)), north_(std::cos(course_deg * deg)) {}

    double along(const sea::Stream& stream) const {
        return stream.east_mps * east_ + stream.north_mps * north_;
    }
    double to_right(const sea::Stream& stream) const {
        return stream.east_mps * north_ - stream.north_mps * east_;
    }
    /// MadeGood::crab_share
    static double crab_share(double to_right_mps, double speed_mps) {
        return speed_mps > 0.0 ? std::abs(to_right_mps) / speed_mps : std::numeric_limits<double>::infinity();
    }
    /// MadeGood::speed_mps
    static double speed(double to_right_mps, double along_mps, double speed_mps) {
        return crab_share(to_right_mps, speed_mps) <= 1.0
                   ? std::sqrt((speed_mps - to_right_mps) * (speed_mps + to_right_mps)) + along_mps
                   : along_mps;
    }

  private:
    static constexpr double deg = std::numbers::pi / 180.0;
    double east_, north_;
};

} // namespace dangerline::passage
