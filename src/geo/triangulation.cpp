#include "dangerline/geo/triangulation.hpp"

#include <algorithm>
#include <unordered_set>

#include "geos.hpp"
#include "outline.hpp"

namespace dangerline::geo {

namespace {

struct Less {
    bool operator()(const Point& a, const Point& b) const { return a.x != b.x ? a.x < b.x : a.y < b.y; }
};

std::uint64_t key(std::uint32_t a, std::uint32_t b) {
    return a < b ? (std::uint64_t{a} << 32) | b : (std::uint64_t{b} << 32) | a;
}

/// GEOS gives triangles as polygons; their corners are the points' own coordinates.
class Delaunay {
  public:
    explicit Delaunay(const std::vector<Point>& points) : points_(points), order_(points.size()) {
        for (std::uint32_t i = 0; i < points.size(); ++i)
            order_[i] = i;
        std::sort(order_.begin(), order_.end(),
                  [&](std::uint32_t a, std::uint32_t b) { return Less{}(points_[a], points_[b]); });
    }

    std::vector<std::array<std::uint32_t, 3>> run() const {
        auto sites = geos_.line(points_);
        const auto made =
            geos_.own(GEOSDelaunayTriangulation_r(geos_.handle(), sites.get(), 0.0, 0), "triangulating");
        std::vector<std::array<std::uint32_t, 3>> triangles;
        const int count = GEOSGetNumGeometries_r(geos_.handle(), made.get());
        triangles.reserve(static_cast<std::size_t>(std::max(count, 0)));
        for (int i = 0; i < count; ++i) {
            const auto* triangle = GEOSGetGeometryN_r(geos_.handle(), made.get(), i);
            const auto* ring = GEOSGetExteriorRing_r(geos_.handle(), triangle);
            const auto* sequence = ring ? GEOSGeom_getCoordSeq_r(geos_.handle(), ring) : nullptr;
            unsigned size = 0;
            std::array<double, 8> xy{};
            if (!sequence || !GEOSCoordSeq_getSize_r(geos_.handle(), sequence, &size) || size != 4 ||
                !GEOSCoordSeq_copyToBuffer_r(geos_.handle(), sequence, xy.data(), 0, 0))
                continue;
            std::array<std::uint32_t, 3> t{number({xy[0], xy[1]}), number({xy[2], xy[3]}),
                                           number({xy[4], xy[5]})};
            const double area = doubled_area(points_[t[0]], points_[t[1]], points_[t[2]]);
            if (area < 0.0)
                std::swap(t[1], t[2]);
            if (area != 0.0)
                triangles.push_back(t);
        }
        return triangles;
    }

  private:
    static double doubled_area(Point a, Point b, Point c) {
        return (b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y);
    }
    std::uint32_t number(Point p) const {
        const auto at =
            std::lower_bound(order_.begin(), order_.end(), p,
                             [&](std::uint32_t i, const Point& q) { return Less{}(points_[i], q); });
        return at == order_.end() ? order_.back() : *at;
    }
    Geos geos_;
    const std::vector<Point>& points_;
    std::vector<std::uint32_t> order_;
};

struct Piece {
    PointPair ends;
    std::size_t edge; ///< number of the given edge it is part of
};

} // namespace

std::optional<Triangulation> conforming_triangulation(const std::vector<Point>& points,
                                                      const std::vector<PointPair>& edges) {
    constexpr int rounds = 12;
    if (points.size() < 3)
        return std::nullopt;
    Triangulation out;
    out.points = points;
    // Far corners around all: an edge on the hull is then an edge like any other.
    const std::size_t most = 2 * points.size() + 1000;
    const Box box = Shape::of_points(points).box();
    const double wide = std::max({box.max_x - box.min_x, box.max_y - box.min_y, 1.0});
    const std::array<Point, 4> corners{Point{box.min_x - 3 * wide, box.min_y - 2.9 * wide},
                                       Point{box.max_x + 2.8 * wide, box.min_y - 3.1 * wide},
                                       Point{box.max_x + 3.2 * wide, box.max_y + 2.7 * wide},
                                       Point{box.min_x - 2.6 * wide, box.max_y + 3.3 * wide}};
    std::vector<Piece> pieces;
    for (std::size_t i = 0; i < edges.size(); ++i)
        pieces.push_back({edges[i], i});
    for (int round = 0; round < rounds && out.points.size() <= most; ++round) {
        auto sites = out.points;
        sites.insert(sites.end(), corners.begin(), corners.end());
        auto triangles = Delaunay(sites).run();
        std::unordered_set<std::uint64_t> sides;
        sides.reserve(triangles.size() * 2);
        for (const auto& t : triangles)
            for (std::size_t k = 0; k < 3; ++k)
                sides.insert(key(t[k], t[(k + 1) % 3]));
        std::vector<Piece> next;
        bool all = true;
        for (const Piece& piece : pieces) {
            if (sides.contains(key(piece.ends.first, piece.ends.second))) {
                next.push_back(piece);
                continue;
            }
            all = false;
            const Point a = out.points[piece.ends.first], b = out.points[piece.ends.second];
            const auto middle = static_cast<std::uint32_t>(out.points.size());
            out.points.push_back({(a.x + b.x) / 2.0, (a.y + b.y) / 2.0});
            out.split_edge.push_back(piece.edge);
            next.push_back({{piece.ends.first, middle}, piece.edge});
            next.push_back({{middle, piece.ends.second}, piece.edge});
        }
        if (all) {
            std::erase_if(triangles, [&](const auto& t) {
                return std::any_of(t.begin(), t.end(),
                                   [&](std::uint32_t i) { return i >= out.points.size(); });
            });
            out.triangles = std::move(triangles);
            return out;
        }
        pieces = std::move(next);
    }
    return std::nullopt;
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
