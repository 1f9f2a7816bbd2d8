// The bottom between the charted depths of one depth area.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "dangerline/geo/index.hpp"
#include "dangerline/geo/regions.hpp"
#include "dangerline/geo/triangulation.hpp"

namespace dangerline::seabed {

/// Depths in whole decimetres below the sounding datum, so that levels are never a matter of rounding.
using Decimetres = int;
/// The greatest level that is not deeper than the depth: 1.49 m gives 14, -0.01 m gives -1.
Decimetres level_at_or_above(double depth_m);

/// Where the depth of a vertex comes from.
enum class Source : std::uint8_t {
    sounding,
    contour,  ///< a depth contour inside the area
    edge,     ///< the edge to a deeper or shoaler area: the contour both share
    shoal_end ///< land, the chart's or window's edge, a neighbour of unknown or overlapping depth: DRVAL1
};

struct Vertex {
    geo::Point at;
    double depth_m = 0.0;
    Source source = Source::shoal_end;
    std::string lnam{}; ///< of the sounding or contour
};

/// Everything one surface is made of. The area is bounded by closed rings under the even-odd rule;
/// `edge_depth_m` holds one depth for each edge of `area`, in their order: edge i of a ring joins its points
/// i and i + 1.
struct AreaDepths {
    std::vector<geo::Ring> area;
    std::vector<double> edge_depth_m;
    std::vector<Source> edge_source;
    double shoalest_m = 0.0, deepest_m = 0.0; ///< DRVAL1 and DRVAL2, shoalest < deepest
    std::vector<Vertex> soundings;            ///< inside the area
    struct Contour {
        std::vector<geo::Point> line;
        double depth_m = 0.0;
        std::string lnam{};
    };
    std::vector<Contour> contours; ///< pieces that run inside the area
};

/// Plane triangles over edges, contours and soundings of one depth area. Depths are metres below the sounding
/// datum, nowhere shoaler than DRVAL1 nor deeper than DRVAL2. Where vertices fall together the shoaler one
/// counts; a triangle whose corners are all on one contour has that contour's depth. Linear in between, so
/// the error on a bottom of curvature k (1/m) with triangle sides up to L is at most k L² / 3 (geometry of
/// linear interpolation), and without bound where the bottom has what no vertex shows: the chart's word is
/// the area's range.
class Surface {
  public:
    /// Nothing where no triangles can be made (crossing edges, fewer than three corners): take DRVAL1 then.
    /// With `near`, triangles that meet none of these boxes are left out after all are made: the surface ends
    /// there as it does at the area's edge.
    static std::optional<Surface> build(const AreaDepths& depths, std::span<const geo::Box> near = {});

    const std::vector<Vertex>& vertices() const { return vertices_; }
    const std::vector<std::array<std::uint32_t, 3>>& triangles() const { return triangles_; }
    double shoalest() const { return shoalest_m_; }
    double deepest() const { return deepest_m_; }

    /// Interpolated depth; nothing outside the area.
    std::optional<double> depth(geo::Point at) const;
    /// The nearest corner of the triangle the point lies in, or of all.
    const Vertex& nearest_corner(geo::Point at) const;

    /// All of the area where the surface is no deeper than the level, as one shape (even-odd); every vertex
    /// lies on the level or on a triangle corner of the area's edge. A higher level holds every lower one.
    geo::Shape no_deeper_than(Decimetres level) const;

    /// Triangles with a side longer than `longest_m`, or whose middle `distrusted` says so, joined.
    template <typename Distrusted>
    geo::Shape sparse(double longest_m, Distrusted&& distrusted) const {
        std::vector<std::vector<geo::Point>> pieces;
        for (const auto& t : triangles_)
            if (longest_side(t) > longest_m || distrusted(middle(t)))
                pieces.push_back(corners(t));
        return geo::joined(pieces);
    }

    std::size_t triangle_count() const { return triangles_.size(); }

  private:
    using Triangle = std::array<std::uint32_t, 3>;
    double longest_side(const Triangle& t) const;
    geo::Point middle(const Triangle& t) const;
    std::vector<geo::Point> corners(const Triangle& t) const;
    std::optional<std::uint32_t> triangle_at(geo::Point at) const;

    std::vector<Vertex> vertices_;
    std::vector<Triangle> triangles_;
    std::vector<geo::PointPair> rim_;            ///< sides only one triangle has
    std::shared_ptr<const geo::BoxIndex> index_; ///< of the triangles
    double shoalest_m_ = 0.0, deepest_m_ = 0.0;
};

} // namespace dangerline::seabed
