// A curve given point by point: a computed or forecast sea level.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "dangerline/base/time.hpp"
#include "dangerline/files/table.hpp"
#include "dangerline/tide/high_low.hpp"

namespace dangerline::tide {

/// Points further apart have a gap between them (an assumption of this project). Smooth curves of a
/// semidiurnal tide are kept to 0.6 % of the range at hourly points (see the tests).
inline constexpr double longest_step_s = 3600.0;

struct Series {
    Prediction prediction{};
    std::optional<int> datum{}; ///< VERDAT of the heights where the file says so
};

/// Reads columns time and height_m and, where there is one, datum, as read_high_low() does, and joins the
/// points by cubics whose rate at a point is that of the parabola through it and its two neighbours
/// (one-sided at ends and gaps). Points are kept to the last bit. Unknown outside the points and between
/// points further apart than `longest_s`; a note says so.
/// Failures (Fault::data, naming line and column): those of read_high_low() for times, heights and datum;
/// fewer than two rows; a time not after the one before.
Series read_series(const std::filesystem::path& path, const std::optional<TimeZone>& zone,
                   double longest_s = longest_step_s);
Series series_from(const files::Table& table, const std::optional<TimeZone>& zone,
                   double longest_s = longest_step_s);

} // namespace dangerline::tide
