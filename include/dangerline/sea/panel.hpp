// Tidal stream panels: set and rate for the hours before and after high or low water of a station.
#pragma once

#include <array>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "dangerline/sea/series.hpp"
#include "dangerline/tide/curve.hpp"

namespace dangerline::sea {

struct PanelHour {
    double set_deg = 0.0;              ///< true, towards
    double springs_mps = 0.0;          ///< at the mean spring range
    std::optional<double> neaps_mps{}; ///< at the mean neap range, where a table gives it
};

struct Panel {
    std::string station{};             ///< name of the tide station its hours refer to; empty: not named
    bool from_low_water = false;       ///< hours count from low water
    std::array<PanelHour, 13> hours{}; ///< from 6 hours before to 6 hours after
};

/// TS_TSP of S-57: "identifier,name,HW,set,rate,..." with 13 pairs of set and rate in knots, which are rates
/// at springs. Nothing, and why, for anything else.
std::optional<Panel> parse_panel(std::string_view ts_tsp, std::string& why);

/// Reads columns hour (-6 to 6, each once), set_deg, springs_kn and, where there is one, neaps_kn.
/// Failures (Fault::data, naming line and column): a missing column or hour, an hour twice, a set outside
/// [0, 360], a rate outside [0, 30].
Panel read_panel(const std::filesystem::path& path);

/// Mean ranges of the tide at the panel's station, metres.
struct Ranges {
    double springs_m = 0.0;
    std::optional<double> neaps_m{};
};

/// Rates fall no lower than this share of springs where there are no rates for neaps (assumption of this
/// project): neap streams are commonly about half those of springs.
inline constexpr double least_share_of_springs = 0.5;

/// The share method ("computation of rates"): with rates for neaps straight between neaps and springs by the
/// range of the day, going on above springs and never below neaps; without, in proportion to springs.
double rate_of_day(const PanelHour& hour, const Ranges& ranges, double range_m);

/// The panel laid over the tides of its station (ascending, any datum). The hours count from the nearest high
/// (low) water; range of the day: the high water nearest in time less the low water after it. Between hours
/// the stream is linear; so it is between the sixth hour after one tide and the sixth before the next where
/// these are at most 1.5 h apart (neap tides come up to 13.5 h apart). Elsewhere, and where a tide is
/// missing, nothing.
Series panel_series(const Panel& panel, const std::vector<tide::HighOrLow>& tides, const Ranges& ranges,
                    Instant from, Instant to);

} // namespace dangerline::sea
