// The streams of a plan and its charts, and voyages in them. Private to the room.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/jobs/load.hpp"
#include "dangerline/passage/timetable.hpp"
#include "dangerline/sea/map.hpp"
#include "dangerline/tide/stations.hpp"

namespace dangerline::jobs {

struct Streams {
    /// Null: neither the plan nor a panel of a chart that names a tide of the plan tells of streams.
    std::shared_ptr<const sea::StreamMap> map;
    std::vector<std::string> notes; ///< what is used, what can't be and why
};

/// [[stream]] of the plan, TS_PAD and TS_FEB of laid out cells, good from `from` to `to`. A panel of a chart
/// counts by the [[tide]] it names. Failures: those of the files; (plan) a tide without a spring range.
Streams read_streams(const plan::Plan& plan, const geo::Plane& plane, const std::vector<chart::Cell>& cells,
                     tide::Land land, Instant from, Instant to);

/// The waits of a route as a voyage takes them; clock times for every day from `from` to `to`.
std::vector<passage::Wait> waits_of(const PlannedRoute& planned, const plan::Plan& plan, Instant from,
                                    Instant to);

/// One track in these streams (null: none). `speed_factor` on all speeds.
passage::Voyage voyage_of(const passage::Track& track, const PlannedRoute& planned, const plan::Plan& plan,
                          const Streams& streams, Instant from, Instant to, double speed_factor = 1.0,
                          passage::Voyage::Settings::Luck luck = passage::Voyage::Settings::Luck::none);

} // namespace dangerline::jobs
