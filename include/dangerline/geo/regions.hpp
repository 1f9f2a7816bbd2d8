// Work on areas that needs overlay: buffers that are drawn, unions, gaps, mending. GEOS behind a plain face.
#pragma once

#include <string>
#include <vector>

#include "dangerline/geo/position.hpp"
#include "dangerline/geo/shape.hpp"

namespace dangerline::geo {

using Ring = std::vector<Point>;
/// Outer ring first, then holes. Results are closed (last point = first); what is passed in may be open.
using PolygonRings = std::vector<Ring>;

/// Arcs of a drawn buffer are chords; so many of them stand in a quadrant.
inline constexpr int buffer_segments_per_quadrant = 64;

/// The shape grown by `radius` metres, for drawing: (radius + 0.02 m) / cos(pi / 4n), so that no chord and no
/// later rounding to 7 decimals brings the outline inside the true radius. Outer rings counter-clockwise,
/// holes clockwise. GEOS also fills shallow dents, up to 1 % of the radius: that errs outwards.
std::vector<PolygonRings> grown(const Shape& shape, double radius);

/// Union of areas (slow, exact); points and lines add nothing.
std::vector<PolygonRings> united(const std::vector<const Shape*>& areas);
/// a without b.
std::vector<PolygonRings> without(const std::vector<PolygonRings>& a, const std::vector<PolygonRings>& b);
/// An area cut along the sides of a box: rings under the even-odd rule, closed, any winding. Corners keep
/// their bits; new ones lie on the box to the rounding of a double. Rings may touch one another, and those
/// outside run along the prolonged west and east sides of the box too. Much sooner than by without().
struct CutByBox {
    std::vector<Ring> inside, outside;
};
CutByBox cut_by_box(const Shape& area, const Box& box);
/// Square metres in the plane (equal-area, so true square metres): outer rings less holes.
double area_of(const std::vector<PolygonRings>& polygons);
/// The polygons must not overlap: a shape is even-odd.
Shape to_shape(const std::vector<PolygonRings>& polygons);
/// The reverse: the rings of an area (even-odd, any order) sorted into polygons with holes; empty for points
/// and lines.
std::vector<PolygonRings> polygons_of(const Shape& area);

/// How well areas tile `cover`: holes in the tiling and places covered twice, each only where larger than
/// `least_square_metres`. Outline of the coverage first, then validity and area sums; the slow exact union
/// only where these disagree. What tiles hold outside the cover is neither. Pass the cover cut like the tiles
/// (Plane::rhumb_chain), or its long edges bend away from theirs. Even so the two are cut at different
/// places, and a cell's edge of 50 km leaves slivers of several square metres that exist in the plane only. A
/// place longer than 20 m and thinner than 1 m on average (area / half perimeter) is therefore not counted.
struct Tiling {
    std::vector<PolygonRings> gaps;
    std::vector<PolygonRings> overlaps;
    double gap_square_metres = 0.0;
    double overlap_square_metres = 0.0;
};
Tiling check_tiling(const std::vector<PolygonRings>& cover, const std::vector<const Shape*>& tiles,
                    double least_square_metres = 1.0);

/// Whether the rings make valid polygons (OGC simple features). Where they do not, `mended` holds the union
/// of what can be read of them (for use as a hazard) and `doubt` the difference between the readings, which
/// nobody can vouch for. Readings: even-odd over all lines, and outer rings less holes (GEOS MakeValid,
/// linework and structure). A ring whose ends lie more than a metre apart has lost an edge: closed it is one
/// reading, nothing at all the other, so all of it is in doubt. Rings of fewer than three corners and corners
/// that are not numbers are dropped and said. Empty `mended` and `doubt` where all is valid.
struct Mended {
    bool valid = true;
    std::string why{}; ///< GEOS's reason, with the place
    std::vector<PolygonRings> mended;
    std::vector<PolygonRings> doubt;
};
Mended mend(const std::vector<PolygonRings>& polygons);

/// What joins the corners of a ring on the ellipsoid. Charts mean rhumb lines.
enum class Edges { rhumb, geodesic };
/// Square metres within a ring on WGS 84, positive whatever the winding, closed or open; and the metres
/// around it. GeographicLib's PolygonArea: 0.1 m2 a corner, 1e-7 m an edge. Fewer than three corners have no
/// area.
double ellipsoid_area(const std::vector<Position>& ring, Edges edges = Edges::rhumb);
double ellipsoid_perimeter(const std::vector<Position>& ring, Edges edges = Edges::rhumb);

} // namespace dangerline::geo
