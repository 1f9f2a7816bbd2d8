// A sounder's log against the chart: what is wrong with all of it, and what has changed at a place.
#pragma once

#include <optional>
#include <span>
#include <vector>

namespace dangerline::survey {

// Assumptions of this project.
inline constexpr std::size_t least_soundings = 5; ///< fewer tell of no common offset
inline constexpr double local_change_m = 0.3;     ///< what lies less off the common offset is no change
inline constexpr double greatest_offset_m = 0.5;  ///< beyond it the log's own depths are not relied on

/// What all differences share.
struct CommonOffset {
    double metres = 0.0; ///< the median
    double spread_m =
        0.0; ///< 1.4826 times the median distance from it: the standard deviation of a normal law
};

/// Of differences in metres, sounded less charted. Nothing for fewer than least_soundings.
/// std::invalid_argument for one that is not finite. The median stays where it is as long as fewer than half
/// of the places have changed (P. J. Huber, Robust Statistics, Wiley 1981, 1.3 and 5.1).
std::optional<CommonOffset> common_offset(std::span<const double> differences);

/// Whether a difference is more off the common offset than local_change_m and three times the spread.
bool is_local_change(double difference, const CommonOffset& offset);

/// The middle one, of an even number the mean of the two in the middle; `values` must not be empty.
double median(std::vector<double> values);

} // namespace dangerline::survey
