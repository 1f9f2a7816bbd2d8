// All streams of an area: which of them count at a place, and what they make of it together.
#pragma once

#include <filesystem>
#include <memory>
#include <string>
#include <vector>

#include "dangerline/files/grid.hpp"
#include "dangerline/geo/plane.hpp"
#include "dangerline/sea/series.hpp"
#include "dangerline/tide/stations.hpp"

namespace dangerline::sea {

// Assumptions of this project.
inline constexpr double default_stream_reach_m = 3.0 * 1852.0; ///< a station says nothing farther away
inline constexpr double opposite_sets_deg = 60.0; ///< stations whose sets are further apart are not averaged
inline constexpr double slack_mps = 0.1;          ///< under this rate a station's set does not count

/// One place with its stream against time.
struct StreamStation {
    std::string name{};
    geo::Position position{};
    std::string words{}; ///< where its values come from: "panel of X14DEMO1 by HW Lanner Bay"
    Series series{};
    std::string reason{}; ///< why it is not known where it is not
};

/// Only the largest rate is known, without a time (TS_FEB).
struct StreamBound {
    std::string name{};
    std::shared_ptr<const geo::Shape> extent{}; ///< in the plane; holds on it and within reach of a point
    double rate_mps = 0.0;
};

/// Harmonic constants of a current: columns constituent, east_kn, east_phase_deg_gmt, north_kn,
/// north_phase_deg_gmt; the row Z0 has the mean stream (phases empty) and must be there. Summed as tides are.
/// Failures (Fault::data): as tide::read_constants(); no row Z0.
Series harmonic_series(const std::filesystem::path& path, Instant from, Instant to);

class StreamMap : public StreamField {
  public:
    struct Settings {
        double reach_m = default_stream_reach_m;
        std::optional<double> rate_max_mps{}; ///< the largest rate where nothing else is known
    };
    /// `land`: as for tide::StationMap. `plane` must outlive the map.
    StreamMap(const geo::Plane& plane, std::vector<StreamStation> stations,
              std::vector<files::VectorGrid> grids, std::vector<StreamBound> bounds, tide::Land land,
              const Settings& settings);

    /// A grid that knows the place and time comes first. Else the stations within reach whose line to the
    /// place crosses no land: one alone gives its own value; of several all must be known, and their mean
    /// counts, weighted by inverse distance, where their sets are less than opposite_sets_deg apart. Sets
    /// further apart: not known, bounded by the largest of their rates.
    StreamThere at(geo::Point place, Instant when) const override;
    PlaceStream fix(geo::Point place) const override;
    bool empty() const { return stations_.empty() && grids_.empty(); }

  private:
    struct Near {
        std::size_t station = 0;
        double weight = 0.0; ///< all together 1
    };
    struct Joined {
        std::optional<Stream> stream{};
        std::optional<double> bound_mps{};
        std::string reason{};
    };
    std::vector<Near> near(geo::Point place) const;
    Joined join(const std::vector<Near>& near, Instant when, bool with_words) const;
    std::optional<double> bound_at(geo::Point place) const;

    const geo::Plane* plane_;
    std::vector<StreamStation> stations_;
    std::vector<geo::Point> places_; // of the stations
    std::vector<files::VectorGrid> grids_;
    std::vector<StreamBound> bounds_;
    tide::Land land_;
    Settings settings_;
};

} // namespace dangerline::sea
