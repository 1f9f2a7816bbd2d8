// The plan: one TOML file that names everything a job needs, as one typed value.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/quantities.hpp"
#include "dangerline/base/time.hpp"
#include "dangerline/chart/vector_source.hpp"
#include "dangerline/geo/position.hpp"
#include "dangerline/hazard/rough_water.hpp"
#include "dangerline/passage/boat.hpp"
#include "dangerline/passage/check.hpp"
#include "dangerline/plan/anchor.hpp"
#include "dangerline/plan/drift.hpp"
#include "dangerline/plan/mark.hpp"
#include "dangerline/plan/moving.hpp"
#include "dangerline/plan/newer.hpp"
#include "dangerline/plan/season.hpp"
#include "dangerline/plan/stream_source.hpp"
#include "dangerline/plan/tried.hpp"
#include "dangerline/tide/datum.hpp"
#include "dangerline/tide/weather.hpp"

namespace dangerline::plan {

/// One source of tide: a station, or a standard port that a secondary port refers to.
struct TideSource {
    enum class Kind { none, fixed, harmonic, table, secondary, curve };
    Kind kind = Kind::none;
    std::string name;                      ///< needed where there are several; unlike all others
    std::optional<geo::Position> position; ///< always there, but for a lone fixed height and a standard port
    std::vector<geo::Position> zone;       ///< ring of the waters it holds for; empty: none given here
    std::filesystem::path zone_file;       ///< GeoJSON with that ring; empty: none
    double height_m = 0.0;                 ///< of a fixed tide, above `datums.source_code`
    std::filesystem::path constants;       ///< of a harmonic tide
    double mean_level_m = 0.0;             ///< Z0 of a harmonic tide, above `datums.source_code`
    std::filesystem::path file;            ///< of a table, a curve, or the differences of a secondary port
    std::string of;                        ///< of a secondary port: the name of its standard port
    std::optional<TimeZone> times;       ///< of clock times in a table or curve; nothing: UTC alone is taken
    std::optional<double> longest_gap_s; ///< of a table or curve: neighbours further apart have a gap
    std::optional<double> spring_range_m, neap_range_m; ///< mean ranges, for streams that refer to it
    bool weather_included = false;                      ///< its heights hold pressure and surge already
    tide::DatumChain datums;
    int line = 0; ///< in the plan file, for messages
    bool has_zone() const { return !zone.empty() || !zone_file.empty(); }
    /// Neither position nor zone: it only serves secondary ports and counts nowhere itself.
    bool standard_port_only() const { return kind != Kind::fixed && !position; }
};
const char* to_text(TideSource::Kind kind);

/// Wind as people name it: by where it comes from.
struct Wind {
    double from_deg = 0.0;
    double mps = 0.0;
    std::string words; ///< "wind from SW 20 kn, blowing towards NE"
};

struct RouteEntry {
    std::string name;                  ///< empty = as the file names it
    std::filesystem::path file;        ///< GPX or GeoJSON
    std::string pick;                  ///< name of the line in the file; empty = every line in it
    std::optional<std::string> depart; ///< as written; TimeZone::parse of the plan's zone takes it
    std::optional<double> half_width_m;
    std::vector<double> leg_half_widths_m; ///< two or more, one a leg; a list of one stands in half_width_m
    std::optional<double> speed_mps;
    std::vector<double> leg_speeds_mps; ///< empty, or one a leg
    std::vector<RouteWait> waits;
    bool back = false;       ///< from its end back by the same line
    double recovery_s = 0.0; ///< the boat stays so long where it arrives, until it is out of the water
    std::optional<double> shore_start_m, shore_end_m;
    int line = 0; ///< in the plan file, for messages
};

/// A chart: cell, folder, exchange set, archive, or a vector source with what the plan states of it.
struct ChartSource {
    std::filesystem::path file;
    chart::VectorStatement stated{};
    int line = 0; ///< in the plan file; 0 where it stands in the list `charts`
};

struct Plan {
    std::filesystem::path file;
    std::string title;
    TimeZone zone{"UTC"};
    std::optional<CalendarDay> as_of;
    std::optional<std::string> depart; ///< for routes that name no departure of their own
    std::vector<ChartSource> charts;
    passage::Boat boat;
    Gear gear;
    passage::Margins margins;
    bool sheltered = false;
    passage::Doubts doubts;
    std::vector<TideSource> tides; ///< one or more, as in the plan
    tide::Weather weather;         ///< shifts every tide that does not hold it already
    std::vector<StreamSource> streams;
    double stream_reach_m = 3.0 * metres_per_nautical_mile; ///< a station of streams holds so far
    std::optional<Wind> wind;
    hazard::WaterState sea;
    std::vector<RouteEntry> routes;
    std::vector<MarkEntry> marks;
    std::vector<NewerSource> newer; ///< to be held against the charts
    std::vector<TriedEntry> tried;  ///< runs that were made
    survey::TrustSettings trust;    ///< without a day of use; the jobs set it
    std::vector<MovingEntry> moving;
    double zones_within_m = 3000.0; ///< zones are drawn so far around the routes
    /// The project's own assumptions (P) that this plan left in force, one sentence each.
    std::vector<std::string> assumptions;
    std::vector<std::string>
        newer_assumptions; ///< those of newer data and tried tracks, also among `assumptions`
    std::optional<SeasonAsked> season;
    std::vector<std::string> season_assumptions; ///< the same, of the season alone
    DriftAsked drift;
    std::vector<SecondMeans> second_means;
    std::vector<HelperEntry> helpers;
    std::vector<std::string> drift_assumptions; ///< the same, of drift alone
};

/// Reads a plan. Relative paths in it start at its folder; whether they lead anywhere is not looked at. A key
/// that is left out keeps the default shown above, and where that default is an assumption of this project, a
/// sentence in `assumptions`. Speeds, wind and rates carry their unit in the plan and are never guessed.
///
/// Throws Failure (plan), whose object is "line 12, boat.draught_m", for the first fault found, in this
/// order: a file that is missing, empty, over 1 MB or no ordinary file; no TOML (line, column, the parser's
/// words); an unknown key (naming the nearest known key of that table); then per key a missing required key
/// (with the line of its table), a wrong type, a value out of range or not finite, a speed or wind without
/// unit, an unknown zone, a local time that never happens or happens twice, a key of another kind of tide, a
/// tide without name or position where one is needed, a secondary port of no port of this plan, a pressure
/// without its mean, a datum linked twice, in both directions or in none.
Plan read(const std::filesystem::path& file);

} // namespace dangerline::plan
