#include "dangerline/geo/triangulation.hpp"

#include <algorithm>
#include <cmath>

#include "delaunay.hpp"
#include "outline.hpp"

namespace dangerline::geo {

namespace {

struct Piece {
    PointPair ends;
    std::size_t edge; ///< number of the given edge it is part of
};

class Conforming {
  public:
    Conforming(const std::vector<Point>& points, const std::vector<PointPair>& edges)
        : given_(points.size()), delaunay_(points) {
        for (std::size_t i = 0; i < edges.size(); ++i)
            pieces_.push_back({{edges[i].first + Delaunay::corners, edges[i].second + Delaunay::corners}, i});
    }

    std::optional<Triangulation> run() {
        constexpr int rounds = 12;
        const std::size_t most = 2 * given_ + 1000;
        auto missing = missing_pieces();
        for (int round = 1; !missing.empty(); ++round) {
            if (round == rounds || delaunay_.sites().size() > most)
                return std::nullopt;
            for (const std::size_t i : missing)
                if (!halve(i))
                    return std::nullopt;
            missing = missing_pieces();
        }
        return result();
    }

  private:
    std::vector<std::size_t> missing_pieces() const {
        std::vector<std::size_t> missing;
        for (std::size_t i = 0; i < pieces_.size(); ++i)
            if (!delaunay_.joined(pieces_[i].ends.first, pieces_[i].ends.second))
                missing.push_back(i);
        return missing;
    }

    /// False where something else stands in the middle: two edges meet there, or an edge and a point.
    bool halve(std::size_t i) {
        const auto [from, to] = pieces_[i].ends;
        const Point a = delaunay_.sites()[from], b = delaunay_.sites()[to];
        const std::size_t before = delaunay_.sites().size();
        const auto middle = delaunay_.insert({(a.x + b.x) / 2.0, (a.y + b.y) / 2.0});
        if (delaunay_.sites().size() == before)
            return false;
        split_edge_.push_back(pieces_[i].edge);
        pieces_[i].ends = {from, middle};
        pieces_.push_back({{middle, to}, pieces_[i].edge});
        return true;
    }

    /// Without the far corners.
    Triangulation result() {
        Triangulation out;
        out.points.assign(delaunay_.sites().begin() + Delaunay::corners, delaunay_.sites().end());
        out.split_edge = std::move(split_edge_);
        for (auto t : delaunay_.triangles()) {
            if (std::any_of(t.begin(), t.end(), [](std::uint32_t i) { return i < Delaunay::corners; }))
                continue;
            for (auto& i : t)
                i -= Delaunay::corners;
            out.triangles.push_back(t);
        }
        return out;
    }

    std::size_t given_;
    Delaunay delaunay_;
    std::vector<Piece> pieces_;
    std::vector<std::size_t> split_edge_;
};

} // namespace

std::optional<Triangulation> conforming_triangulation(const std::vector<Point>& points,
                                                      const std::vector<PointPair>& edges) {
    const auto finite = [](const Point& p) { return std::isfinite(p.x) && std::isfinite(p.y); };
    if (points.size() < 3 || !std::all_of(points.begin(), points.end(), finite))
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
