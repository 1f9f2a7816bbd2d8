// Work on areas that needs overlay: buffers that are drawn, unions, gaps, mending. GEOS behind a plain face.
#pragma once

#include <string>
#include <vector>

#include "dangerline/geo/position.hpp"
#include "dangerline/geo/shape.hpp"

namespace dangerline::geo {

using Ring = std::vector<Point>;
/// Outer ring first, then holes.
using PolygonRings = std::vector<Ring>;

/// Arcs of a drawn buffer are chords; so many of them stand in a quadrant.
inline constexpr int buffer_segments_per_quadrant = 64;

/// The shape grown by `radius` metres, for drawing: (radius + 0.02 m) / cos(pi / 4n), so that no chord and no
/// later rounding to 7 decimals brings the outline inside the true radius. Outer rings counter-clockwise,
/// holes clockwise.
std::vector<PolygonRings> grown(const Shape& shape, double radius);

/// Union of areas (slow, exact).
std::vector<PolygonRings> united(const std::vector<const Shape*>& areas);
/// a without b.
std::vector<PolygonRings> without(const std::vector<PolygonRings>& a, const std::vector<PolygonRings>& b);
/// Square metres in the plane (equal-area, so true square metres).
double area_of(const std::vector<PolygonRings>& polygons);
Shape to_shape(const std::vector<PolygonRings>& polygons);

/// How well areas tile `cover`: holes in the tiling and places covered twice, each only where larger than
/// `least_square_metres`. Coverage union first, then validity and area sums; the slow exact union only where
/// these disagree.
struct Tiling {
    std::vector<PolygonRings> gaps;
    std::vector<PolygonRings> overlaps;
    double gap_square_metres = 0.0;
    double overlap_square_metres = 0.0;
};
Tiling check_tiling(const std::vector<PolygonRings>& cover, const std::vector<const Shape*>& tiles,
                    double least_square_metres = 1.0);

/// Whether the rings make valid polygons (OGC simple features). Where they do not, `mended` holds the union of
/// what can be read of them (for use as a hazard) and `doubt` the difference between the readings, which
/// nobody can vouch for.
struct Mended {
    bool valid = true;
    std::string why{}; ///< GEOS's reason, with the place
    std::vector<PolygonRings> mended;
    std::vector<PolygonRings> doubt;
};
Mended mend(const std::vector<PolygonRings>& polygons);

/// Area and perimeter of a ring of rhumb or geodesic edges on the ellipsoid (GeographicLib PolygonArea),
/// positive whatever the winding.
double ellipsoid_area(const std::vector<Position>& ring);

} // namespace dangerline::geo
