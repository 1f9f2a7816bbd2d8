// A drawn route: rhumb legs, path coordinate.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/geo/plane.hpp"
#include "dangerline/geo/reach.hpp"

namespace dangerline::passage {

/// Half-width of the corridor a boat may stray in where nothing is said, metres (assumption of this project).
inline constexpr double default_half_width_m = 50.0;
inline constexpr double default_shore_stretch_m = 150.0;

struct Route {
    std::string name;
    std::string source;                   ///< file, layer, number
    std::vector<geo::Position> places;    ///< two or more; longitudes run on across 180 degrees
    std::vector<std::string> place_names; ///< empty, or one a place
    std::vector<double> half_widths_m;    ///< one a leg
    std::vector<double> speeds_mps;       ///< one a leg; through the water where streams are known of
    /// Longest shore stretch at either end; 0 = none, nothing = by default where the end touches land.
    std::optional<double> shore_start_m, shore_end_m;
};

/// A straight piece of a leg in the working plane.
struct Chord {
    geo::Leg leg;
    double from = 0.0; ///< path coordinate of its beginning, metres of rhumb line from the start
    double to = 0.0;
    std::size_t leg_number = 0; ///< from 0
    double half_width_m = 0.0;  ///< with the sagitta of the chord added
    geo::Box box() const;
};

/// A route laid into a plane.
class Track {
  public:
    /// Chords depart from their rhumb line by at most 0.1 m.
    Track(const Route& route, const geo::Plane& plane);
    const Route& route() const { return route_; }
    const std::vector<Chord>& chords() const { return chords_; }
    double length() const { return leg_ends_.back(); }
    /// Path coordinates of the places.
    const std::vector<double>& place_coordinates() const { return leg_ends_; }
    geo::Point point_at(double s) const;
    geo::Position position_at(double s) const;
    std::size_t leg_at(double s) const;
    /// The line from s1 to s2, cut so that no chord departs from its rhumb line by more than 1 m.
    std::vector<geo::Position> line(double s1, double s2) const;

    /// Path coordinates for a span of metres along a chord.
    static geo::Span to_path(const Chord& chord, geo::Span along);

  private:
    Route route_;
    std::vector<Chord> chords_;
    std::vector<double> leg_ends_; // 0, end of leg 0, ...
};

} // namespace dangerline::passage
