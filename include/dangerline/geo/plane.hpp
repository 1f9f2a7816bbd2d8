// The working plane: metres around a centre.
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "dangerline/geo/position.hpp"

namespace dangerline::geo {

struct Point {
    double x = 0.0; ///< metres east of the plane's centre
    double y = 0.0; ///< metres north
    bool operator==(const Point&) const = default;
};

/// Local Lambert azimuthal equal-area plane (PROJ laea, WGS 84). Everything that is measured in it must lie
/// within working_radius of the centre. Places that have no image (no numbers, latitude beyond 90) throw
/// Failure (data). Several threads may use one plane.
/// Within a degree of latitude of the centre, and as many metres of longitude, polynomials fitted to PROJ
/// stand for it, unless the centre lies beyond 80 degrees: no more than 1e-7 m apart (see the tests), and
/// many times sooner. A place has the same image, bit for bit, whichever function and thread asks.
class Plane {
  public:
    static constexpr double working_radius = 100'000.0; ///< metres
    /// Bound of |plane distance / true distance - 1| for two places within `radius` metres of the centre.
    static double scale_error(double radius_metres);

    explicit Plane(Position centre);
    ~Plane();
    Plane(Plane&&) noexcept;
    Plane& operator=(Plane&&) noexcept;

    Position centre() const;
    Point to_plane(Position place) const;
    /// Longitude comes back within 180 degrees of the centre's. There and back: 0.2 mm.
    Position to_position(Point point) const;
    /// Appends the projected places to `out`.
    void to_plane(std::span<const Position> places, std::vector<Point>& out) const;

    /// Bound of the distance between the chord of a rhumb line of `metres` length in this plane and the line
    /// itself: L^2 (tan|lat| / R + distance from centre / R^2) / 8. Pass the largest |latitude| and the
    /// largest distance from the centre on the line. Holds to 75 degrees and 20 km (see the tests).
    double sagitta(double metres, double lat_deg, double metres_from_centre) const;
    /// Projects a chain of rhumb lines, cut so that no chord departs from its line by more than
    /// `max_sagitta` metres. The last place is included, the first too. An edge gets the same places between,
    /// bit for bit, whichever way it is run: areas that share it still fit.
    std::vector<Point> rhumb_chain(std::span<const Position> places, double max_sagitta) const;

  private:
    struct Implementation;
    std::unique_ptr<Implementation> self_;
};

} // namespace dangerline::geo
