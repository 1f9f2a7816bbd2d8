// Delaunay triangles that sites are put into one by one. Private to the room.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "dangerline/geo/shape.hpp"

namespace dangerline::geo {

/// Grows site by site (Lawson 1977): the triangle that holds a new site is parted, and sides are turned until
/// no circle around a triangle holds a site. Four far corners around all stand first, so that every site lies
/// inside. Signs are proven by an error bound in double (Shewchuk 1997, A-estimates) or else told with 113
/// bits; a side is turned only where the sign is certain, so turning ends.
class Delaunay {
  public:
    using Triangle = std::array<std::uint32_t, 3>;
    static constexpr std::uint32_t corners = 4; ///< sites 0 to 3 are the far ones

    /// Point i becomes site corners + i. Of points at one place only one is joined to others.
    explicit Delaunay(const std::vector<Point>& points);

    /// The number of the site there: a new one, or the one that is. The place must lie between the others.
    std::uint32_t insert(Point place);
    /// Whether a side of a triangle runs between two sites.
    bool joined(std::uint32_t a, std::uint32_t b) const;

    const std::vector<Point>& sites() const { return sites_; }
    /// Counter-clockwise, those at the far corners too.
    std::vector<Triangle> triangles() const;

  private:
    static constexpr std::uint32_t outside = 0xFFFFFFFFU;
    /// Counter-clockwise; neighbour k lies across the side that faces corner k.
    struct Node {
        Triangle corner{};
        Triangle beyond{outside, outside, outside};
    };
    struct Found {
        std::uint32_t triangle = 0;
        std::uint32_t side = 3;       ///< on the side that faces this corner, 3 inside
        std::uint32_t site = outside; ///< exactly at this one
    };

    Found find(Point place);
    void part_triangle(std::uint32_t t, std::uint32_t site);
    void part_side(std::uint32_t t, std::uint32_t side, std::uint32_t site);
    void turn_sides(std::uint32_t site);
    void turn(std::uint32_t t, std::uint32_t u, std::uint32_t facing);
    void meet(std::uint32_t t, std::uint32_t was, std::uint32_t is);
    Node from_corner(std::uint32_t t, std::uint32_t k) const;

    std::vector<Point> sites_;
    std::vector<std::uint32_t> one_of_; ///< some triangle at each site
    std::vector<Node> nodes_;
    std::vector<std::uint32_t> open_; ///< triangles whose side that faces the new site is to be looked at
    std::uint32_t last_ = 0;          ///< the next place is likely near
};

} // namespace dangerline::geo
