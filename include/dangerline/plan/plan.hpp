// The plan: one TOML file that names everything a job needs, as one typed value.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/time.hpp"
#include "dangerline/hazard/rough_water.hpp"
#include "dangerline/passage/boat.hpp"
#include "dangerline/passage/check.hpp"

namespace dangerline::plan {

/// Where the tide comes from.
struct TideSource {
    enum class Kind { none, fixed, harmonic };
    Kind kind = Kind::none;
    double height_m = 0.0;            ///< of a fixed tide, above `datums.source_code`
    std::filesystem::path constants;  ///< of a harmonic tide
    double mean_level_m = 0.0;        ///< Z0 of a harmonic tide, above `datums.source_code`
    tide::DatumChain datums;
};

/// Wind as people name it: by where it comes from.
struct Wind {
    double from_deg = 0.0;
    double mps = 0.0;
    std::string words; ///< "wind from SW 20 kn, blowing towards NE"
};

struct RouteEntry {
    std::string name;              ///< empty = as the file names it
    std::filesystem::path file;    ///< GPX or GeoJSON
    std::string pick;              ///< name of the line in the file; empty = every line in it
    std::optional<std::string> depart; ///< local time, as written
    std::optional<double> half_width_m;
    std::vector<double> leg_half_widths_m;
    std::optional<double> speed_mps;
    std::optional<double> shore_start_m, shore_end_m;
    int line = 0; ///< in the plan file, for messages
};

struct Plan {
    std::filesystem::path file;
    std::string title;
    TimeZone zone{"UTC"};
    std::optional<CalendarDay> as_of;
    std::optional<std::string> depart; ///< for routes that name no departure of their own
    std::vector<std::filesystem::path> charts;
    passage::Boat boat;
    passage::Margins margins;
    bool sheltered = false;
    passage::Doubts doubts;
    TideSource tide;
    std::optional<Wind> wind;
    hazard::WaterState sea;
    std::vector<RouteEntry> routes;
    double zones_within_m = 3000.0; ///< zones are drawn so far around the routes
    /// The project's own assumptions (P) that this plan left in force, one sentence each.
    std::vector<std::string> assumptions;
};

/// Reads a plan. Paths in it are relative to its folder. Throws Failure (plan) for a file that is missing or no
/// TOML, an unknown key (naming line, key and the nearest known key), a wrong type, a value out of range, a wind
/// or rate without unit, an unknown time zone, unknown exposure; each names line and key.
Plan read(const std::filesystem::path& file);

} // namespace dangerline::plan
