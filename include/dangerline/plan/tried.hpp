// A run that a member made, as evidence of water.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "dangerline/base/time.hpp"

namespace dangerline::plan {

/// One [[tried]].
struct TriedEntry {
    std::filesystem::path file;    ///< GPX track
    std::string pick;              ///< name of the track in it; empty: the only one
    std::string by;                ///< who ran it
    CalendarDay date{};            ///< local day of the run
    double draught_m = 0.0;        ///< of the boat that ran it, leg down
    std::filesystem::path sounder; ///< CSV of time, lon, lat, depth_m; empty: none
    double transducer_m = 0.0;     ///< of the sounder below the surface: water = its depth + this
    /// Stated tide above the sounding datum of the first chart; nothing: by the plan's tides at the time.
    std::optional<double> tide_m{};
    int line = 0; ///< in the plan file, for messages
};

} // namespace dangerline::plan
