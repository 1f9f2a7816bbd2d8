// How a plan wants surveys judged, in the plane of its charts. Private to the room.
#pragma once

#include <optional>
#include <vector>

#include "dangerline/geo/plane.hpp"
#include "dangerline/plan/plan.hpp"
#include "dangerline/survey/moving.hpp"

namespace dangerline::jobs {

survey::TrustSettings trust_on(const plan::Plan& plan, const std::optional<CalendarDay>& as_of);

/// The moving bottoms a plan draws. Failures: files::read_zone; a ring that crosses itself (plan).
std::vector<survey::DrawnMoving> moving_in(const plan::Plan& plan, const geo::Plane& plane);

} // namespace dangerline::jobs
