// Several tide stations: which one counts where, and how far it is to be believed there.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "dangerline/geo/plane.hpp"
#include "dangerline/geo/shape.hpp"
#include "dangerline/tide/datum.hpp"
#include "dangerline/tide/high_low.hpp"

namespace dangerline::tide {

// All assumptions of this project, 95 %.
inline constexpr double far_station_m = 18'520.0; ///< 10 NM: beyond it these two are the least
inline constexpr double far_height_doubt_m = 0.5;
inline constexpr double far_time_doubt_s = 30.0 * 60.0;
inline constexpr double secondary_time_doubt_s = 25.0 * 60.0; ///< the least for a secondary port
inline constexpr double reported_step_m = 0.3; ///< a larger step between neighbouring stations is reported
inline constexpr double nearly_as_near = 1.1;  ///< stations up to so much further than the nearest count too
inline constexpr double ashore_m = 500.0;      ///< land so far around a station or a landing is not between
inline constexpr double islet_m = 500.0;       ///< land less than this long and wide parts no tides

struct Station {
    std::string name{};
    std::optional<geo::Position> position{}; ///< needed where there are several stations without zones
    std::vector<geo::Position> zone{};       ///< ring of the waters it holds for; empty: none given
    bool secondary = false;
    Prediction prediction{}; ///< heights above the station's own datum
    DatumChain datums{};
};

/// 95 % doubt of a tide's height and of its clock.
struct StationDoubt {
    double height_m = 0.3;
    double time_s = 15.0 * 60.0;
    bool operator==(const StationDoubt&) const = default;
};
/// `base` holds for a standard port near by; the constants above are the least for a secondary port and for
/// places over 10 NM away. A distance not known (nothing) adds nothing.
StationDoubt station_doubt(bool secondary, std::optional<double> distance_m, const StationDoubt& base = {});

enum class Chosen {
    only,       ///< there is no other
    zone,       ///< the place lies in its zone
    by_water,   ///< nearest whose straight line to the place crosses no land
    across_land ///< no station is joined to the place by water: all of them count, doubts as far away
};
/// "the only station", "its zone", "nearest by water", "land lies between every station and it".
const char* to_text(Chosen how);

/// What counts at one place. Of several stations (overlapping zones, or nearly as near as the nearest) the
/// lower height counts, whichever that is at the time.
struct Choice {
    std::vector<std::size_t> stations{}; ///< the nearest first
    Chosen how = Chosen::only;
    StationDoubt doubt{};               ///< the worst of these stations
    std::optional<double> distance_m{}; ///< to the first of them
    /// Same stations, way and doubt; the distance changes from place to place.
    bool same_as(const Choice& other) const;
};

/// A stretch of a line with one choice; metres along it.
struct StationReach {
    double from_m = 0.0, to_m = 0.0;
    Choice choice;
};

/// Areas of a plane, none of them null.
using Land = std::vector<std::shared_ptr<const geo::Shape>>;
/// Land that parts waters: without what is smaller than islet_m.
Land without_islets(Land land);
/// Whether the straight line between two places crosses no land, but for ashore_m at either end.
bool joined_by_water(const Land& land, geo::Point a, geo::Point b);

/// Where stations hold. Immutable; queries may run on many threads.
class StationMap {
  public:
    /// `land`: may be empty, then every line is by water; islets (islet_m) are left out. `plane` must outlive
    /// the map. Zones of fewer than three
    /// corners, stations without position and zone beside others, and no stations at all throw
    /// Failure(Fault::plan) naming the station.
    StationMap(const geo::Plane& plane, const std::vector<Station>& stations, Land land,
               const StationDoubt& base = {});

    /// Zone before nearness; a single station counts everywhere.
    Choice at(geo::Point place) const;
    Choice at(geo::Position place) const;
    /// A line in the plane cut where the choice changes, boundaries to 1 m. Stretches under 250 m between
    /// equal neighbours may be missed. Empty for fewer than two points.
    std::vector<StationReach> along(const std::vector<geo::Point>& line) const;

  private:
    struct Place {
        std::optional<geo::Point> at{};
        std::optional<geo::Shape> zone{};
        bool secondary = false;
    };
    Choice chosen(std::vector<std::pair<double, std::size_t>> by_distance, Chosen how) const;

    const geo::Plane* plane_;
    std::vector<Place> places_;
    Land land_;
    StationDoubt base_;
};

/// The tide that counts at a place over a span of time.
struct TideThere {
    Instant at = Instant::from_unix_seconds(0.0);
    TideHeight height = TideHeight::from_metres(0.0); ///< above the chart's datum
    double rate_mps = 0.0;                            ///< of that station then, rising positive
    std::size_t station = 0;
    bool doubtful_shape = false; ///< half-cosine is doubtful there for some station that counts
};
/// Lowest (highest) over the closed span [from, to] of all stations of the choice, above datum `chart_code`.
/// Nothing where one of them is unknown in a part of the span or not linked to that datum.
std::optional<TideThere> lowest_there(const std::vector<Station>& stations, const Choice& choice,
                                      int chart_code, Instant from, Instant to);
std::optional<TideThere> highest_there(const std::vector<Station>& stations, const Choice& choice,
                                       int chart_code, Instant from, Instant to);
/// Parts of [from, to] where the height of some station of the choice is unknown; ascending and joined.
std::vector<TimeSpan> unknown_there(const std::vector<Station>& stations, const Choice& choice, Instant from,
                                    Instant to);

/// A step of the height that counts, where one stretch of a line meets the next.
struct StationStep {
    double at_m = 0.0;   ///< along the line
    double step_m = 0.0; ///< largest in the span of time, after minus before
    Instant when = Instant::from_unix_seconds(0.0);
    std::vector<std::size_t> before{}, after{}; ///< stations
};
/// Steps over reported_step_m in [from, to], looked for every 10 min; heights above `chart_code`.
std::vector<StationStep> steps_along(const std::vector<Station>& stations,
                                     const std::vector<StationReach>& reaches, int chart_code, Instant from,
                                     Instant to);

} // namespace dangerline::tide
