#include "dangerline/geo/triangulation.hpp"

#include <algorithm>
#include <cmath>

#include "dangerline/geo/index.hpp"
#include "geos.hpp"
#include "outline.hpp"
#include "table.hpp"

namespace dangerline::geo {

namespace {

using Triangle = std::array<std::uint32_t, 3>;

struct Side {
    std::uint32_t from = 0, to = 0;
    bool operator==(const Side&) const = default;
};
std::uint64_t hash_of(const Side& side) {
    const std::uint64_t hash = ((std::uint64_t{side.from} << 32) | side.to) * 0x9E3779B97F4A7C15U;
    return hash ^ (hash >> 29);
}
Side either_way(std::uint32_t a, std::uint32_t b) {
    return a < b ? Side{a, b} : Side{b, a};
}
Side side(const Triangle& t, std::size_t k) {
    return {t[k], t[(k + 1) % 3]};
}

double doubled_area(Point a, Point b, Point c) {
    return (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
}

/// Counter-clockwise triangles over all points. GEOS gives them as polygons whose corners are the points' own
/// coordinates.
std::vector<Triangle> delaunay(const std::vector<Point>& points) {
    const Geos geos;
    Table<Point> numbers(points.size());
    bool fresh = false;
    for (const Point& p : points)
        numbers.number(p, fresh);
    auto sites = geos.line(points);
    const auto made =
        geos.own(GEOSDelaunayTriangulation_r(geos.handle(), sites.get(), 0.0, 0), "triangulating");
    std::vector<Triangle> triangles;
    const int count = GEOSGetNumGeometries_r(geos.handle(), made.get());
    triangles.reserve(static_cast<std::size_t>(std::max(count, 0)));
    for (int i = 0; i < count; ++i) {
        const auto* polygon = GEOSGetGeometryN_r(geos.handle(), made.get(), i);
        const auto* ring = GEOSGetExteriorRing_r(geos.handle(), polygon);
        const auto* sequence = ring ? GEOSGeom_getCoordSeq_r(geos.handle(), ring) : nullptr;
        unsigned size = 0;
        std::array<double, 8> xy{};
        if (!sequence || !GEOSCoordSeq_getSize_r(geos.handle(), sequence, &size) || size != 4 ||
            !GEOSCoordSeq_copyToBuffer_r(geos.handle(), sequence, xy.data(), 0, 0))
            continue;
        Triangle t{numbers.find({xy[0], xy[1]}), numbers.find({xy[2], xy[3]}), numbers.find({xy[4], xy[5]})};
        if (std::find(t.begin(), t.end(), none) != t.end())
            continue;
        const double area = doubled_area(points[t[0]], points[t[1]], points[t[2]]);
        if (area < 0.0)
            std::swap(t[1], t[2]);
        if (area != 0.0)
            triangles.push_back(t);
    }
    return triangles;
}

struct Piece {
    PointPair ends;
    std::size_t edge; ///< number of the given edge it is part of
};

class Conforming {
  public:
    Conforming(const std::vector<Point>& points, const std::vector<PointPair>& edges)
        : given_(points.size()), sites_(points) {
        // Far corners around all: an edge on the hull is then an edge like any other.
        const Box box = Shape::of_points(points).box();
        const double wide = std::max({box.max_x - box.min_x, box.max_y - box.min_y, 1.0});
        for (const Point& corner : {Point{box.min_x - 3 * wide, box.min_y - 2.9 * wide},
                                    Point{box.max_x + 2.8 * wide, box.min_y - 3.1 * wide},
                                    Point{box.max_x + 3.2 * wide, box.max_y + 2.7 * wide},
                                    Point{box.min_x - 2.6 * wide, box.max_y + 3.3 * wide}})
            sites_.push_back(corner);
        for (std::size_t i = 0; i < edges.size(); ++i)
            pieces_.push_back({edges[i], i});
    }

    std::optional<Triangulation> run() {
        constexpr int rounds = 12;
        const std::size_t most = 2 * given_ + 1000;
        triangles_ = delaunay(sites_);
        auto missing = missing_in(triangles_, [](const Piece&) { return true; });
        for (int round = 1; !missing.empty(); ++round) {
            if (round == rounds || sites_.size() > most)
                return std::nullopt;
            const auto first = static_cast<std::uint32_t>(sites_.size());
            for (const std::size_t i : missing)
                halve(i);
            missing = retriangulate(first);
        }
        return result();
    }

  private:
    void halve(std::size_t i) {
        const auto [from, to] = pieces_[i].ends;
        const Point a = sites_[from], b = sites_[to];
        const auto middle = static_cast<std::uint32_t>(sites_.size());
        sites_.push_back({(a.x + b.x) / 2.0, (a.y + b.y) / 2.0});
        split_edge_.push_back(pieces_[i].edge);
        pieces_[i].ends = {from, middle};
        pieces_.push_back({{middle, to}, pieces_[i].edge});
    }

    /// Of the pieces that may have changed, those that are no side of these triangles.
    template <typename Changed>
    std::vector<std::size_t> missing_in(const std::vector<Triangle>& triangles,
                                        const Changed& changed) const {
        Table<Side> sides(3 * triangles.size());
        bool fresh = false;
        for (const auto& t : triangles)
            for (std::size_t k = 0; k < 3; ++k)
                sides.number(either_way(t[k], t[(k + 1) % 3]), fresh);
        std::vector<std::size_t> missing;
        for (std::size_t i = 0; i < pieces_.size(); ++i)
            if (changed(pieces_[i]) &&
                sides.find(either_way(pieces_[i].ends.first, pieces_[i].ends.second)) == none)
                missing.push_back(i);
        return missing;
    }

    /// Takes the sites from `first` on into the triangles; returns the pieces that are then missing. Only
    /// triangles whose circumcircle holds a new site change, so only their corners are triangulated anew.
    std::vector<std::size_t> retriangulate(std::uint32_t first) {
        const auto is_fresh = [&](const Piece& piece) {
            return piece.ends.first >= first || piece.ends.second >= first;
        };
        std::vector<Triangle> cavity, kept;
        part(first, cavity, kept);
        auto filled = fill(cavity, first);
        if (!filled) { // several points on one circle, which GEOS joined otherwise than before
            triangles_ = delaunay(sites_);
            return missing_in(triangles_, [](const Piece&) { return true; });
        }
        Table<Side> gone(3 * cavity.size());
        bool fresh = false;
        for (const auto& t : cavity)
            for (std::size_t k = 0; k < 3; ++k)
                gone.number(either_way(t[k], t[(k + 1) % 3]), fresh);
        triangles_ = std::move(kept);
        triangles_.insert(triangles_.end(), filled->begin(), filled->end());
        return missing_in(*filled, [&](const Piece& piece) {
            return is_fresh(piece) || gone.find(either_way(piece.ends.first, piece.ends.second)) != none;
        });
    }

    void part(std::uint32_t first, std::vector<Triangle>& cavity, std::vector<Triangle>& kept) const {
        std::vector<Box> boxes;
        for (std::size_t i = first; i < sites_.size(); ++i)
            boxes.push_back({sites_[i].x, sites_[i].y, sites_[i].x, sites_[i].y});
        const BoxIndex fresh(boxes);
        for (const auto& t : triangles_)
            (circle_holds_one(t, fresh, first) ? cavity : kept).push_back(t);
    }

    /// True for a triangle too many does no harm.
    bool circle_holds_one(const Triangle& t, const BoxIndex& fresh, std::uint32_t first) const {
        constexpr double spare = 1e-6;
        const Point a = sites_[t[0]], b = sites_[t[1]], c = sites_[t[2]];
        const double bx = b.x - a.x, by = b.y - a.y, cx = c.x - a.x, cy = c.y - a.y;
        const double twice = 2.0 * doubled_area(a, b, c), bb = bx * bx + by * by, cc = cx * cx + cy * cy;
        const double x = (cy * bb - by * cc) / twice, y = (bx * cc - cx * bb) / twice;
        const double radius = std::hypot(x, y) * (1.0 + spare) + spare;
        if (!std::isfinite(radius))
            return true;
        const Point centre{a.x + x, a.y + y};
        const auto near = fresh.meeting(Box{centre.x, centre.y, centre.x, centre.y}.grown(radius));
        return std::any_of(near.begin(), near.end(), [&](std::uint32_t i) {
            const Point p = sites_[first + i];
            return std::hypot(p.x - centre.x, p.y - centre.y) <= radius;
        });
    }

    /// The triangles over the cavity's corners and the new sites that lie in the cavity: all that can be
    /// reached from its rim without crossing it. Nothing where the rim is not kept.
    std::optional<std::vector<Triangle>> fill(const std::vector<Triangle>& cavity,
                                              std::uint32_t first) const {
        std::vector<std::uint32_t> used;
        Table<Side> old(3 * cavity.size());
        bool fresh = false;
        for (const auto& t : cavity)
            for (std::size_t k = 0; k < 3; ++k) {
                used.push_back(t[k]);
                old.number(side(t, k), fresh);
            }
        for (auto i = first; i < sites_.size(); ++i)
            used.push_back(i);
        std::sort(used.begin(), used.end());
        used.erase(std::unique(used.begin(), used.end()), used.end());
        std::vector<Point> points;
        for (const auto i : used)
            points.push_back(sites_[i]);
        auto triangles = delaunay(points);
        Table<Side> sides(3 * triangles.size()); // side k of triangle t is number 3t + k
        for (auto& t : triangles) {
            t = {used[t[0]], used[t[1]], used[t[2]]};
            for (std::size_t k = 0; k < 3; ++k) {
                sides.number(side(t, k), fresh);
                if (!fresh)
                    return std::nullopt;
            }
        }
        return reached(triangles, sides, old);
    }

    static std::optional<std::vector<Triangle>> reached(const std::vector<Triangle>& triangles,
                                                        const Table<Side>& sides, const Table<Side>& old) {
        std::vector<bool> taken(triangles.size(), false);
        std::vector<std::uint32_t> open;
        const auto on_rim = [&](const Side& s) { return old.find({s.to, s.from}) == none; };
        const auto take = [&](const Side& s) {
            const auto number = sides.find(s);
            if (number == none)
                return false;
            if (!taken[number / 3]) {
                taken[number / 3] = true;
                open.push_back(number / 3);
            }
            return true;
        };
        for (const Side& s : old.values())
            if (on_rim(s) && !take(s))
                return std::nullopt;
        std::vector<Triangle> out;
        while (!open.empty()) {
            const Triangle t = triangles[open.back()];
            open.pop_back();
            out.push_back(t);
            for (std::size_t k = 0; k < 3; ++k) {
                const Side s = side(t, k);
                const bool rim = old.find(s) != none && on_rim(s);
                if (!rim && !take({s.to, s.from}))
                    return std::nullopt;
            }
        }
        return out;
    }

    /// Without the far corners.
    Triangulation result() {
        constexpr std::uint32_t corners = 4;
        Triangulation out;
        const auto given = static_cast<std::uint32_t>(given_);
        out.points = std::move(sites_);
        out.points.erase(out.points.begin() + given, out.points.begin() + given + corners);
        out.split_edge = std::move(split_edge_);
        for (Triangle t : triangles_) {
            if (std::any_of(t.begin(), t.end(),
                            [&](std::uint32_t i) { return i >= given && i < given + corners; }))
                continue;
            for (auto& i : t)
                i -= i < given ? 0 : corners;
            out.triangles.push_back(t);
        }
        return out;
    }

    std::size_t given_;
    std::vector<Point> sites_; ///< those given, the far corners, those that split edges
    std::vector<Piece> pieces_;
    std::vector<std::size_t> split_edge_;
    std::vector<Triangle> triangles_;
};

} // namespace

std::optional<Triangulation> conforming_triangulation(const std::vector<Point>& points,
                                                      const std::vector<PointPair>& edges) {
    if (points.size() < 3)
        return std::nullopt;
    return Conforming(points, edges).run();
}

Shape joined(const std::vector<std::vector<Point>>& pieces) {
    std::vector<Shape> shapes;
    shapes.reserve(pieces.size());
    for (const auto& piece : pieces)
        shapes.push_back(Shape::of_area({piece}));
    std::vector<const Shape*> pointers;
    for (const auto& shape : shapes)
        pointers.push_back(&shape);
    return Shape::of_area(outline_rings(pointers));
}

Shape area_within(const std::vector<std::pair<Point, Point>>& sides) {
    return Shape::of_area(rings_of(sides));
}

} // namespace dangerline::geo
