// From places that run on across 180 degrees to what RFC 7946 asks for.
#pragma once

#include <optional>

#include "dangerline/geo/plane.hpp"
#include "dangerline/geo/regions.hpp"
#include "overlay/features.hpp"

namespace dangerline::overlay {

/// Longitude in [-180, 180], both numbers rounded to 7 decimals (1 cm).
geo::Position rounded_place(geo::Position place);

/// Cut at 180 degrees and rounded. Neighbours are taken to be less than half a turn apart. Repeated places
/// are dropped; a line that rounds to one place keeps it twice.
Lines cut_line(const Line& line);

/// Cut at 180 degrees, rounded, closed, outer rings counter-clockwise and holes clockwise. Rings may be open
/// and wound either way. A hole that rounds to nothing is filled; an outer ring that does becomes its own box
/// grown by the last decimal. Areas around a pole are not provided for.
Areas cut_areas(const Areas& areas);

/// Areas of the plane as longitude and latitude. Edges are cut so that no straight line between two corners
/// departs from the straight edge in the plane by more than 0.01 m.
Areas unproject(const geo::Plane& plane, const std::vector<geo::PolygonRings>& areas);

/// A shape of the plane: its points one by one, lines and areas whole.
std::vector<Geometry> geometries_of(const geo::Shape& shape, const geo::Plane& plane);

/// RFC 7946 section 5: west is greater than east where the box crosses 180 degrees. The narrowest box is
/// given.
struct Bounds {
    double west, south, east, north;
};
/// Nothing where there is no feature.
std::optional<Bounds> bounds_of(const std::vector<Feature>& features);

} // namespace dangerline::overlay
