#include "dangerline/seabed/surface.hpp"

#include "dangerline/geo/numbering.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace dangerline::seabed {

namespace {

using geo::Point;

/// Vertices by place; where two fall together the shoaler stays.
class Collector {
  public:
    explicit Collector(const AreaDepths& depths) : depths_(depths), places_(most(depths)) {}

    std::uint32_t add(Vertex v) {
        v.depth_m = std::clamp(v.depth_m, depths_.shoalest_m, depths_.deepest_m);
        bool fresh = false;
        const auto number = places_.number(v.at, fresh);
        if (fresh)
            vertices.push_back(std::move(v));
        else if (v.depth_m < vertices[number].depth_m)
            vertices[number] = std::move(v);
        return number;
    }

    void add_edge(std::uint32_t a, std::uint32_t b, double depth_m, Source source, const std::string& lnam) {
        if (a == b)
            return;
        edges.push_back({a, b});
        of_edges.push_back({{}, depth_m, source, lnam});
    }

    void add_rings() {
        std::size_t i = 0;
        for (const auto& ring : depths_.area)
            for (std::size_t k = 0; k + 1 < ring.size(); ++k, ++i) {
                const double depth_m = depths_.edge_depth_m[i];
                const Source source = depths_.edge_source[i];
                const auto a = add({ring[k], depth_m, source, {}});
                const auto b = add({ring[k + 1], depth_m, source, {}});
                add_edge(a, b, depth_m, source, {});
            }
    }

    void add_contours() {
        for (const auto& contour : depths_.contours)
            for (std::size_t k = 0; k + 1 < contour.line.size(); ++k) {
                const auto a = add({contour.line[k], contour.depth_m, Source::contour, contour.lnam});
                const auto b = add({contour.line[k + 1], contour.depth_m, Source::contour, contour.lnam});
                add_edge(a, b, contour.depth_m, Source::contour, contour.lnam);
            }
    }

    std::vector<Vertex> vertices;
    std::vector<geo::PointPair> edges;
    std::vector<Vertex> of_edges; ///< depth and source of each edge

  private:
    static std::size_t most(const AreaDepths& depths) {
        std::size_t count = 2 * depths.edge_depth_m.size() + depths.soundings.size();
        for (const auto& contour : depths.contours)
            count += contour.line.size();
        return count;
    }

    const AreaDepths& depths_;
    geo::Numbering<Point> places_;
};

/// Sides of triangles that no other triangle has, in the order of the triangles.
std::vector<geo::PointPair> sides_alone(const std::vector<std::array<std::uint32_t, 3>>& triangles) {
    std::vector<std::pair<std::uint64_t, std::size_t>> sides;
    sides.reserve(3 * triangles.size());
    for (const auto& t : triangles)
        for (std::size_t k = 0; k < 3; ++k) {
            const std::uint64_t a = t[k], b = t[(k + 1) % 3];
            sides.emplace_back(a < b ? (a << 32) | b : (b << 32) | a, sides.size());
        }
    std::sort(sides.begin(), sides.end());
    std::vector<std::size_t> alone;
    for (std::size_t i = 0; i < sides.size();) {
        std::size_t next = i + 1;
        while (next < sides.size() && sides[next].first == sides[i].first)
            ++next;
        if (next == i + 1)
            alone.push_back(sides[i].second);
        i = next;
    }
    std::sort(alone.begin(), alone.end());
    std::vector<geo::PointPair> out;
    for (const auto side : alone) {
        const auto& t = triangles[side / 3];
        out.emplace_back(t[side % 3], t[(side + 1) % 3]);
    }
    return out;
}

/// Where a side between a vertex no deeper than the level and a deeper one meets it. Both triangles of the
/// side ask in the same order and get the same bits.
Point crossing(const Vertex& in, const Vertex& out, double level_m) {
    const double t = (level_m - in.depth_m) / (out.depth_m - in.depth_m);
    return {in.at.x + t * (out.at.x - in.at.x), in.at.y + t * (out.at.y - in.at.y)};
}

} // namespace

Decimetres level_at_or_above(double depth_m) {
    // A depth written to the decimetre must not fall to the level above by its last bit.
    constexpr double bit = 1e-9;
    return static_cast<Decimetres>(std::floor(depth_m * 10.0 + bit));
}

std::optional<Surface> Surface::build(const AreaDepths& depths, std::span<const geo::Box> near) {
    Collector all(depths);
    all.add_rings();
    all.add_contours();
    for (const auto& sounding : depths.soundings)
        all.add(sounding);
    std::vector<Point> points;
    points.reserve(all.vertices.size());
    for (const auto& v : all.vertices)
        points.push_back(v.at);
    const auto made = geo::conforming_triangulation(points, all.edges);
    if (!made)
        return std::nullopt;
    Surface out;
    out.shoalest_m_ = depths.shoalest_m;
    out.deepest_m_ = depths.deepest_m;
    out.vertices_ = std::move(all.vertices);
    for (std::size_t i = 0; i < made->split_edge.size(); ++i) {
        Vertex v = all.of_edges[made->split_edge[i]];
        v.at = made->points[points.size() + i];
        v.depth_m = std::clamp(v.depth_m, depths.shoalest_m, depths.deepest_m);
        out.vertices_.push_back(std::move(v));
    }
    const geo::Shape inside = geo::Shape::of_area(depths.area);
    std::vector<geo::Box> boxes;
    for (const auto& t : made->triangles) {
        const Point a = out.vertices_[t[0]].at, b = out.vertices_[t[1]].at, c = out.vertices_[t[2]].at;
        const geo::Box box{std::min({a.x, b.x, c.x}), std::min({a.y, b.y, c.y}), std::max({a.x, b.x, c.x}),
                           std::max({a.y, b.y, c.y})};
        const auto meets = [&](const geo::Box& asked) { return asked.meets(box); };
        if ((!near.empty() && std::none_of(near.begin(), near.end(), meets)) ||
            !inside.contains(out.middle(t)))
            continue;
        out.triangles_.push_back(t);
        boxes.push_back(box);
    }
    if (out.triangles_.empty())
        return std::nullopt;
    out.rim_ = sides_alone(out.triangles_);
    out.index_ = std::make_shared<const geo::BoxIndex>(boxes);
    return out;
}

double Surface::longest_side(const Triangle& t) const {
    double longest = 0.0;
    for (std::size_t k = 0; k < 3; ++k) {
        const Point a = vertices_[t[k]].at, b = vertices_[t[(k + 1) % 3]].at;
        longest = std::max(longest, std::hypot(b.x - a.x, b.y - a.y));
    }
    return longest;
}

Point Surface::middle(const Triangle& t) const {
    const Point a = vertices_[t[0]].at, b = vertices_[t[1]].at, c = vertices_[t[2]].at;
    return {(a.x + b.x + c.x) / 3.0, (a.y + b.y + c.y) / 3.0};
}

std::vector<Point> Surface::corners(const Triangle& t) const {
    return {vertices_[t[0]].at, vertices_[t[1]].at, vertices_[t[2]].at};
}

std::optional<std::uint32_t> Surface::triangle_at(Point at) const {
    for (const auto i : index_->meeting({at.x, at.y, at.x, at.y})) {
        const auto& t = triangles_[i];
        bool inside = true;
        for (std::size_t k = 0; k < 3 && inside; ++k) {
            const Point a = vertices_[t[k]].at, b = vertices_[t[(k + 1) % 3]].at;
            inside = (b.x - a.x) * (at.y - a.y) - (at.x - a.x) * (b.y - a.y) >= 0.0;
        }
        if (inside)
            return i;
    }
    return std::nullopt;
}

std::optional<double> Surface::depth(Point at) const {
    const auto i = triangle_at(at);
    if (!i)
        return std::nullopt;
    const auto& t = triangles_[*i];
    const Vertex &a = vertices_[t[0]], &b = vertices_[t[1]], &c = vertices_[t[2]];
    const double whole = (b.at.x - a.at.x) * (c.at.y - a.at.y) - (c.at.x - a.at.x) * (b.at.y - a.at.y);
    if (!(whole > 0.0)) // too flat for doubles
        return std::min({a.depth_m, b.depth_m, c.depth_m});
    const double u = ((at.x - a.at.x) * (c.at.y - a.at.y) - (c.at.x - a.at.x) * (at.y - a.at.y)) / whole;
    const double v = ((b.at.x - a.at.x) * (at.y - a.at.y) - (at.x - a.at.x) * (b.at.y - a.at.y)) / whole;
    return std::clamp(a.depth_m + u * (b.depth_m - a.depth_m) + v * (c.depth_m - a.depth_m), shoalest_m_,
                      deepest_m_);
}

const Vertex& Surface::nearest_corner(Point at) const {
    const auto distance = [&](const Vertex& v) { return std::hypot(v.at.x - at.x, v.at.y - at.y); };
    const auto nearer = [&](const Vertex& a, const Vertex& b) { return distance(a) < distance(b); };
    if (const auto i = triangle_at(at)) {
        const auto& t = triangles_[*i];
        return vertices_[*std::min_element(t.begin(), t.end(), [&](std::uint32_t a, std::uint32_t b) {
            return nearer(vertices_[a], vertices_[b]);
        })];
    }
    return *std::min_element(vertices_.begin(), vertices_.end(), nearer);
}

geo::Shape Surface::no_deeper_than(Decimetres level) const {
    const double level_m = level / 10.0;
    const auto in = [&](std::uint32_t i) { return vertices_[i].depth_m <= level_m; };
    const auto cut = [&](std::uint32_t a, std::uint32_t b) {
        return in(a) ? crossing(vertices_[a], vertices_[b], level_m)
                     : crossing(vertices_[b], vertices_[a], level_m);
    };
    // The outline is made of the level's own line and of the rim where it is shoal enough.
    std::vector<std::pair<Point, Point>> sides;
    for (const auto& t : triangles_) {
        const int count = in(t[0]) + in(t[1]) + in(t[2]);
        if (count == 0 || count == 3)
            continue;
        std::size_t k = 0; // the corner that is alone on its side of the level
        while (in(t[k]) == in(t[(k + 1) % 3]) || in(t[k]) == in(t[(k + 2) % 3]))
            ++k;
        sides.push_back({cut(t[k], t[(k + 1) % 3]), cut(t[k], t[(k + 2) % 3])});
    }
    for (const auto& [a, b] : rim_) {
        if (in(a) && in(b))
            sides.push_back({vertices_[a].at, vertices_[b].at});
        else if (in(a) != in(b))
            sides.push_back({in(a) ? vertices_[a].at : vertices_[b].at, cut(a, b)});
    }
    return geo::area_within(sides);
}

} // namespace dangerline::seabed
