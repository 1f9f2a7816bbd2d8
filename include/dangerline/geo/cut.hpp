// Shapes cut along the edge of an area, and what lies near shapes.
#pragma once

#include <memory>
#include <vector>

#include "dangerline/geo/regions.hpp"
#include "dangerline/geo/shape.hpp"

namespace dangerline::geo {

/// A shape in two parts; null where nothing of it lies on that side. A shape that is not cut comes back as it
/// was.
struct CutShape {
    std::shared_ptr<const Shape> inside;
    std::shared_ptr<const Shape> outside;
};

/// Cuts many shapes along one area.
class Cutter {
  public:
    /// The polygons may touch but must not overlap.
    explicit Cutter(const std::vector<PolygonRings>& area);
    ~Cutter();
    Cutter(Cutter&&) noexcept;
    Cutter& operator=(Cutter&&) noexcept;

    /// Exact to rounding (1e-9 m). Pieces of an area under 1 mm2 are dropped. An area with rings that bound
    /// nothing can't be cut and counts whole on both sides. One thread at a time.
    CutShape cut(const std::shared_ptr<const Shape>& shape) const;
    /// Even-odd, as Shape::contains.
    bool contains(Point p) const;

  private:
    struct Implementation;
    std::unique_ptr<Implementation> self_;
};

/// a and b together.
std::vector<PolygonRings> common(const std::vector<PolygonRings>& a, const std::vector<PolygonRings>& b);

/// The areas and whatever slits between or in them are narrower than `width` metres (closing with mitred
/// corners). Charts that share an edge cut it at different places in the plane, which leaves slits of
/// decimetres that exist nowhere else.
std::vector<PolygonRings> slits_filled(const std::vector<PolygonRings>& areas, double width);

/// Everything within `radius` metres of points, lines and the edges of areas (not their inside). Errs to the
/// wide side by at most 4 % of the radius, and is fast for that: edges are simplified by 2 % first.
std::vector<PolygonRings> near_edges(const std::vector<const Shape*>& shapes, double radius);

} // namespace dangerline::geo
