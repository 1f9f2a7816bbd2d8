// High and low waters of a table, and the curve between them.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/time.hpp"
#include "dangerline/files/table.hpp"
#include "dangerline/tide/curve.hpp"

namespace dangerline::tide {

/// A curve with what has to be said about it.
struct Prediction {
    Curve curve =
        Curve::from_pieces({}, Instant::from_unix_seconds(0.0), Instant::from_unix_seconds(0.0), "");
    /// Where half-cosine is a doubtful shape: the tides whose rise and fall differ by more than
    /// rise_and_fall_differ_s. Ascending and joined. A height or crossing in here deserves a caution.
    std::vector<TimeSpan> doubtful_shape{};
    std::vector<std::string> notes{}; ///< one sentence each without a full stop
};

/// Whether `doubtful_shape` reaches into the closed span.
bool is_doubtful(const Prediction& prediction, Instant from, Instant to);

/// Half-cosine is not believed where a rise and the fall beside it differ by more (1.5 h, an assumption of
/// this project). Dover, 1 January 2002: they differ by 2.8 h and 45 min after low water the half-cosine is
/// 0.15 m above the published curve.
inline constexpr double rise_and_fall_differ_s = 5400.0;
/// Two neighbours further apart have a tide missing between them (assumptions of this project): 9 h where
/// the middle one of all intervals is at most 8 h (semidiurnal and mixed tides), else 19 h (diurnal).
inline constexpr double longest_semidiurnal_s = 9.0 * 3600.0;
inline constexpr double longest_diurnal_s = 19.0 * 3600.0;

/// The curve through high and low waters, half a cosine between neighbours:
/// h = low + range/2 · (1 - cos(π (t - t_low)/(t_high - t_low))), the formula behind NOAA's "height of tide
/// at any time" table. `tides` ascending in time (std::invalid_argument otherwise), heights in metres above
/// any one datum.
///
/// The given heights are kept to the last bit at their times; between them the curve is within 5e-8 of the
/// range of the half-cosine, crossings within 0.1 s. Unknown outside the first and last tide, between two of
/// one kind (the tide between them is missing) and between neighbours further apart than `longest_s` (absent:
/// chosen by the rule above); a note says so. The first and last tide of known water are no extremes() of the
/// curve: nobody knows where it came from.
Prediction half_cosine(const std::vector<HighOrLow>& tides, std::optional<double> longest_s,
                       const std::string& note);

/// A table of high and low waters as read.
struct HighLowTable {
    std::string source{}; ///< file, for messages
    std::vector<HighOrLow> tides{};
    std::optional<int> datum{}; ///< VERDAT of the heights where the file says so
};

/// Reads columns time, kind, height_m and, where there is one, datum; further columns are ignored.
/// `time`: UTC with Z, or a clock time "2026-06-01 06:12" in `zone`. `kind`: HW or LW. `height_m`: metres,
/// -30 to 30. `datum`: S-57 VERDAT code, the same on every line.
///
/// Failures (Fault::data, naming line and column): a missing column; fewer than two rows; a time that can't
/// be read, has no zone, happens twice or never there; a time not after the one before (out of order or
/// repeated); two of a kind less than longest_semidiurnal_s apart (not alternating; further apart a tide is
/// taken as missing); a high water below a neighbouring low water; a height out of range; a datum that is no
/// code or changes.
HighLowTable read_high_low(const std::filesystem::path& path, const std::optional<TimeZone>& zone);
HighLowTable high_low_from(const files::Table& table, const std::optional<TimeZone>& zone);

} // namespace dangerline::tide
