// A sounder's log against the chart. Private to the room.
#pragma once

#include <functional>
#include <optional>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/plane.hpp"
#include "dangerline/jobs/tried.hpp"

namespace dangerline::jobs {

struct Sounding {
    Instant at = Instant::from_unix_seconds(0.0);
    geo::Position place{};
    double depth_m = 0.0; ///< below the transducer
};

/// CSV with time (UTC), lon, lat, depth_m. Failures (data): those of files::Table; a depth that is not over 0
/// and under 12,000 m, a place out of range, times that run backwards, no row.
std::vector<Sounding> read_sounder(const std::filesystem::path& path);

/// Height of the tide at a place and time above a sounding datum; nothing where it is not known.
using TideAt = std::function<std::optional<double>(geo::Point, Instant, int datum)>;

/// Fills places, offset and words of `out`.
void compare_soundings(const std::vector<Sounding>& log, double transducer_m, const geo::Plane& plane,
                       const std::vector<chart::Cell>& cells, const TideAt& tide_at, TriedOutcome& out);

} // namespace dangerline::jobs
