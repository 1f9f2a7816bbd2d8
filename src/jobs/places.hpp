// Everything a job needs that asks about places rather than routes: charts, hazards, tides and streams around
// the marks of a plan. Private to the room.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/hazard/build.hpp"
#include "dangerline/jobs/load.hpp"
#include "jobs/plan_tides.hpp"
#include "jobs/streams.hpp"

namespace dangerline::jobs {

/// A place and the time it is asked about.
struct AskedPlace {
    std::string name{};
    geo::Position position{};
    Instant from = Instant::from_unix_seconds(0.0), to = Instant::from_unix_seconds(0.0);
};

/// The marks of a plan, from when a boat gets there until it leaves, in the order of the plan. Failures
/// (plan): no mark; a mark without `at` where the plan has no departure; a time that can't be read.
std::vector<AskedPlace> needed_marks(const plan::Plan& plan);

/// Significant height of the waves the plan gives, swell or wind sea, whichever is more; where it gives none
/// what passages allow for.
double wave_height_m(const plan::Plan& plan);
/// A boat touches where the water is less: draught with the leg down and half the waves' height.
Water touching_water(const plan::Plan& plan);

/// A square of that half side.
geo::Box square_around(geo::Point place, double half_m);
/// One each.
std::vector<geo::Box> squares_around(const std::vector<geo::Point>& points, double half_m);

/// A plane around the places. Failure (plan) where they spread over more than its working radius.
geo::Plane plane_around(const std::vector<AskedPlace>& places, const plan::Plan& plan);

class Places {
  public:
    struct Settings {
        /// Hazards are whole, with the bottom between charted depths down to where the boat touches, so far
        /// around every place; charts are chosen 3 NM farther.
        double around_m = 1000.0;
        /// Tides and streams are good so much longer than any place is asked about, streams so much before
        /// too, as far as the files go.
        double longer_s = 0.0;
    };
    /// One place or more. `as_of`: the day ages are reckoned at. `plan` and `plane` must outlive it.
    /// Failures: as the loaders'.
    Places(const plan::Plan& plan, const geo::Plane& plane, std::vector<AskedPlace> places,
           const CalendarDay& as_of, const Settings& settings, Diagnostics& diagnostics);

    const std::vector<AskedPlace>& asked() const { return asked_; }
    /// Where each lies in the plane.
    const std::vector<geo::Point>& points() const { return points_; }
    const std::vector<chart::Cell>& cells() const { return cells_; }
    const hazard::Hazards& hazards() const { return hazards_; }
    const Streams& streams() const { return streams_; }
    /// Stations of tide; choices name them by number.
    const std::vector<tide::Station>& stations() const { return tides_->stations(); }
    /// Which station counts anywhere in the plane.
    const tide::StationMap& station_map() const { return *station_map_; }
    /// Which counts at each of the places.
    const std::vector<tide::Choice>& choices() const { return choices_; }
    /// Why the tide at a place can't be believed; empty: it can.
    std::string distrust(std::size_t place) const { return tides_->distrust(choices_.at(place)); }
    /// Failure (data) where none of the places lies on a chart.
    void require_chart() const;
    /// Says that a choice made elsewhere counts too: for tide_words() and tide_notes().
    void count(const tide::Choice& choice) { tides_->count(choice); }
    /// The same of a choice made elsewhere.
    std::string distrust(const tide::Choice& choice) const { return tides_->distrust(choice); }
    /// Sounding datum of the first chart; nothing without charts.
    std::optional<int> chart_code() const;

    /// Of the stations that count at some place.
    std::string tide_words() const { return tides_->words(); }
    /// Their levels, what their files say, which station counts at each place and with what doubt. What looks
    /// wrong stands in `warnings`, worst first: tides not to be believed, an `as_of` before the first place.
    TideNotes tide_notes() const;

  private:
    const plan::Plan& plan_;
    std::vector<AskedPlace> asked_;
    Instant first_, last_;
    std::vector<geo::Point> points_;
    std::vector<chart::Cell> cells_;
    std::optional<PlanTides> tides_;
    hazard::Hazards hazards_;
    std::optional<tide::StationMap> station_map_;
    std::vector<tide::Choice> choices_;
    Streams streams_;
};

} // namespace dangerline::jobs
