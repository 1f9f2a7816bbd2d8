// A secondary port: the high and low waters of a standard port, moved by published differences.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "dangerline/files/table.hpp"
#include "dangerline/tide/high_low.hpp"

namespace dangerline::tide {

/// Time difference by the clock time of the standard port's tide, 24 h around.
struct TimeKnot {
    double clock_s = 0.0;      ///< seconds after midnight in the zone of the differences, [0, 86400)
    double difference_s = 0.0; ///< secondary port later: positive
};
/// Height difference by the standard port's height.
struct HeightKnot {
    double standard_m = 0.0;
    double difference_m = 0.0;
};

/// What is done to one kind of tide: time + difference, height × ratio + difference.
struct TideShift {
    std::vector<TimeKnot> times{};     ///< ascending by clock; one alone holds all day
    std::vector<HeightKnot> heights{}; ///< ascending by height; one alone holds at every height; may be empty
    double ratio = 1.0;
};

/// Differences in either published form: linear interpolation (differences at two high-water and two
/// low-water clock times, and at MHWS, MHWN, MLWN, MLWS), or ratio and fixed (as for subordinate stations of
/// NOAA: minutes added, heights multiplied or added).
struct Differences {
    std::string source{};
    double clock_utc_offset_s = 0.0; ///< clock of the differences minus UTC
    TideShift high{}, low{};
};

/// Reads columns item, at, value; further columns are ignored. One row per number, in any order:
///   hw_time_min, lw_time_min    `at`: clock time HH:MM of the standard port's tide, or empty (all day);
///                               `value`: minutes, later positive. HH:MM pairs such as 00:00 and 12:00 are
///                               two rows with one value.
///   hw_height_m, lw_height_m    `at`: height of the standard port's tide in metres, or empty (always);
///                               `value`: metres to add.
///   hw_ratio, lw_ratio          `at` empty; `value`: factor for the standard port's height.
///   clock_utc_offset_h          `at` empty; hours the clock of the differences is ahead of UTC; needed where
///                               an `at` is a clock time. Published differences keep standard time all year.
/// Failures (Fault::data, naming line and column): a missing column, an unknown item, an item given twice for
/// one `at`, beside a constant one, or not at all (times of both tides; ratio or height of both), ratio and
/// height together, a number out of range (12 h, 10 m, ratio 0 to 10), clock times without
/// clock_utc_offset_h.
Differences read_differences(const std::filesystem::path& path);
Differences differences_from(const files::Table& table);

/// Seconds to add to a tide at `at`; linear between the two nearest clock times, around midnight too.
double time_difference_s(const Differences& differences, const HighOrLow& standard);
/// Metres to add to it: linear between the heights given, and on along the same line beyond them (above
/// springs, below neaps), as the published method does.
double height_difference_m(const Differences& differences, const HighOrLow& standard);
HighOrLow at_secondary(const Differences& differences, const HighOrLow& standard);

/// The secondary port's curve from the standard port's tides; heights of both above the datum that the
/// differences were published for, usually each port's own chart datum. Meteorological shifts come after.
/// `longest_s` as in half_cosine(). Tides that the differences would bring out of order (a stand of minutes
/// in a mixed tide) are left out with a note, and the time around them is unknown.
/// Accuracy: 24 NOAA extremes of two subordinate stations within 1 mm and 1 min (see the tests).
Prediction secondary(const std::vector<HighOrLow>& standard, const Differences& differences,
                     std::optional<double> longest_s, const std::string& note);

/// How far beyond a span the standard port's tides must be known for the secondary port's curve to fill it.
inline constexpr double secondary_reach_s = 2.0 * 86400.0;

} // namespace dangerline::tide
