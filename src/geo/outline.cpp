#include "outline.hpp"

#include "dangerline/base/parallel.hpp"
#include "dangerline/geo/numbering.hpp"
#include "geos.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>
#include <limits>
#include <numbers>
#include <numeric>

namespace dangerline::geo {

namespace {

struct Edge {
    Point a, b;      ///< a before b
    int times = 0;   ///< it occurs
    int balance = 0; ///< times from a to b less times from b to a
    bool operator==(const Edge& o) const { return a == o.a && b == o.b; }
};

std::uint64_t hash_of(const Edge& e) {
    return mixed(mixed(mixed(mixed(1, e.a.x), e.a.y), e.b.x), e.b.y);
}

/// Nothing for an edge without length.
std::optional<Edge> edge_between(Point a, Point b) {
    if (a == b)
        return std::nullopt;
    const bool turned = b.x < a.x || (b.x == a.x && b.y < a.y);
    return turned ? Edge{b, a, 1, -1} : Edge{a, b, 1, 1};
}

template <typename E>
class Tally {
  public:
    explicit Tally(std::size_t most) : table_(most) {}
    void add(const E& edge) {
        bool fresh = false;
        E& kept = table_.values()[table_.number(edge, fresh)];
        if (fresh)
            return;
        kept.times += edge.times;
        kept.balance += edge.balance;
    }
    std::vector<E> take() { return std::move(table_.values()); }

  private:
    Numbering<E> table_;
};

void add_ring(std::span<const Point> ring, Tally<Edge>& tally) {
    for (std::size_t i = 1; i < ring.size(); ++i)
        if (const auto edge = edge_between(ring[i - 1], ring[i]))
            tally.add(*edge);
}

std::vector<Edge> single_edges(std::span<const Shape* const> areas) {
    std::size_t most = 0;
    for (const Shape* area : areas)
        most += area->points().size();
    Tally<Edge> tally(most);
    for (const Shape* area : areas)
        for (std::size_t k = 0; k < area->part_count(); ++k)
            add_ring(area->part(k), tally);
    auto edges = tally.take();
    std::erase_if(edges, [](const Edge& edge) { return edge.times % 2 == 0; });
    return edges;
}

// Walks edges from node to node.
class Chains {
  public:
    explicit Chains(const std::vector<Edge>& edges) : nodes_(2 * edges.size()), used_(edges.size(), false) {
        for (const Edge& edge : edges)
            add(edge.a, edge.b);
        list_edges();
    }
    /// Of sides given more than once every pair cancels.
    explicit Chains(const std::vector<std::pair<Point, Point>>& sides) : nodes_(2 * sides.size()) {
        for (const auto& [a, b] : sides)
            if (!(a == b))
                add(a, b);
        used_.assign(ends_.size(), false);
        list_edges();
        for (std::uint32_t i = 0; i < ends_.size(); ++i)
            if (!used_[i])
                cancel(i);
    }
    std::vector<std::vector<Point>> walk() {
        std::vector<std::vector<Point>> chains;
        // From branchings first, so that none is passed in the middle of a chain; what is left are plain
        // rings.
        for (const bool branching : {true, false})
            for (std::uint32_t n = 0; n < nodes_.values().size(); ++n)
                if (!branching || edges_of(n).size() != 2)
                    for (const auto edge : edges_of(n))
                        if (!used_[edge])
                            chains.push_back(from(n, edge));
        return chains;
    }

    /// Simple closed rings: a walk that comes back to a node it has passed leaves the loop behind as a ring.
    /// Every node of the outline of an area has an even number of edges, so no walk ends elsewhere. Where
    /// edges branch the walk takes the next one to the right, so that rings touch there and never cross.
    std::vector<std::vector<Point>> rings() {
        std::vector<std::vector<Point>> out;
        std::vector<std::size_t> passed(nodes_.values().size(), none_passed);
        std::vector<std::uint32_t> path;
        for (std::uint32_t start = 0; start < nodes_.values().size(); ++start) {
            path.push_back(start);
            while (!path.empty()) {
                passed[path.back()] = path.size() - 1;
                const auto next = unused_from(path);
                if (!next) { // nothing left here: what led here was no loop and bounds nothing
                    passed[path.back()] = none_passed;
                    path.pop_back();
                    continue;
                }
                if (passed[*next] == none_passed) {
                    path.push_back(*next);
                    continue;
                }
                auto& ring = out.emplace_back();
                const std::size_t begin = passed[*next];
                ring.reserve(path.size() - begin + 1);
                for (std::size_t i = begin; i < path.size(); ++i)
                    ring.push_back(nodes_.values()[path[i]]);
                ring.push_back(ring.front());
                for (std::size_t i = begin + 1; i < path.size(); ++i)
                    passed[path[i]] = none_passed;
                path.resize(begin + 1);
            }
        }
        return out;
    }

  private:
    void add(Point a, Point b) {
        bool fresh = false;
        const auto from = nodes_.number(a, fresh);
        ends_.push_back({from, nodes_.number(b, fresh)});
    }
    /// The edges of each node, one list behind the other.
    void list_edges() {
        first_.assign(nodes_.values().size() + 1, 0);
        for (const auto& [a, b] : ends_) {
            ++first_[a + 1];
            ++first_[b + 1];
        }
        std::partial_sum(first_.begin(), first_.end(), first_.begin());
        at_.resize(first_.back());
        auto next = first_;
        for (std::uint32_t i = 0; i < ends_.size(); ++i) {
            at_[next[ends_[i].first]++] = i;
            at_[next[ends_[i].second]++] = i;
        }
    }
    /// Takes an edge and the next one between the same nodes out, if there is one.
    void cancel(std::uint32_t edge) {
        const auto [a, b] = ends_[edge];
        for (const auto other : edges_of(a))
            if (other > edge && !used_[other] && other_end(other, a) == b) {
                used_[edge] = used_[other] = true;
                return;
            }
    }
    static constexpr std::size_t none_passed = std::numeric_limits<std::size_t>::max();
    std::uint32_t other_end(std::uint32_t edge, std::uint32_t n) const {
        return ends_[edge].first == n ? ends_[edge].second : ends_[edge].first;
    }
    /// The node at the other end of an edge from the end of the path that is not used yet, which then is.
    std::optional<std::uint32_t> unused_from(const std::vector<std::uint32_t>& path) {
        const std::uint32_t n = path.back();
        std::optional<std::uint32_t> best;
        double least = 0.0;
        for (const auto edge : edges_of(n)) {
            if (used_[edge])
                continue;
            const double turn = path.size() > 1 && edges_of(n).size() > 2
                                    ? clockwise_from(path[path.size() - 2], n, other_end(edge, n))
                                    : 0.0;
            if (!best || turn < least) {
                best = edge;
                least = turn;
            }
        }
        if (!best)
            return std::nullopt;
        used_[*best] = true;
        return other_end(*best, n);
    }
    /// Angle at n from the way back clockwise to the way on, (0, 2 pi].
    double clockwise_from(std::uint32_t back, std::uint32_t n, std::uint32_t on) {
        const auto& p = nodes_.values();
        const double from = std::atan2(p[back].y - p[n].y, p[back].x - p[n].x);
        const double to = std::atan2(p[on].y - p[n].y, p[on].x - p[n].x);
        const double turn = from - to;
        return turn > 0.0 ? turn : turn + 2.0 * std::numbers::pi;
    }
    std::span<const std::uint32_t> edges_of(std::uint32_t n) const {
        return std::span(at_).subspan(first_[n], first_[n + 1] - first_[n]);
    }
    std::vector<Point> from(std::uint32_t n, std::uint32_t edge) {
        std::vector<Point> chain{nodes_.values()[n]};
        while (edge != no_number) {
            used_[edge] = true;
            n = ends_[edge].first == n ? ends_[edge].second : ends_[edge].first;
            chain.push_back(nodes_.values()[n]);
            edge = no_number;
            if (edges_of(n).size() == 2)
                for (const auto next : edges_of(n))
                    if (!used_[next])
                        edge = next;
        }
        return chain;
    }

    Numbering<Point> nodes_;
    std::vector<bool> used_;
    std::vector<std::pair<std::uint32_t, std::uint32_t>> ends_;
    std::vector<std::uint32_t> first_, at_; ///< edges of node n: at_[first_[n]] to before at_[first_[n + 1]]
};

} // namespace

std::vector<std::vector<Point>> outline(std::span<const Shape* const> areas) {
    return Chains(single_edges(areas)).walk();
}

std::vector<std::vector<Point>> outline_rings(std::span<const Shape* const> areas) {
    return Chains(single_edges(areas)).rings();
}

std::vector<std::vector<Point>> rings_of(const std::vector<std::pair<Point, Point>>& sides) {
    return Chains(sides).rings();
}

namespace {

/// An edge where it stands in its ring: whole charts have many, and memory touched costs more than the work.
struct EdgeInRing {
    const Point* at = nullptr; ///< the next point is its other end
    bool turned = false;       ///< runs from the later end to the earlier one
    int times = 0;
    int balance = 0;
    const Point& a() const { return turned ? at[1] : at[0]; }
    const Point& b() const { return turned ? at[0] : at[1]; }
    bool operator==(const EdgeInRing& o) const { return a() == o.a() && b() == o.b(); }
};

std::uint64_t hash_of(const EdgeInRing& e) {
    return mixed(mixed(mixed(mixed(1, e.a().x), e.a().y), e.b().x), e.b().y);
}

/// Edges that are one fall into one part, and its table stays in the processor's cache.
constexpr std::size_t edge_parts = 8;
using EdgeParts = std::array<std::vector<EdgeInRing>, edge_parts>;

/// Outer rings counter-clockwise, holes clockwise.
EdgeParts edges_of(std::span<const std::vector<PolygonRings>> tiles) {
    std::size_t count = 0;
    for (const auto& tile : tiles)
        for (const auto& polygon : tile)
            for (const auto& ring : polygon)
                count += ring.size();
    EdgeParts parts;
    for (auto& part : parts)
        part.reserve(count / edge_parts + count / (4 * edge_parts));
    for (const auto& tile : tiles)
        for (const auto& polygon : tile)
            for (std::size_t k = 0; k < polygon.size(); ++k) {
                const int sign = (signed_area(polygon[k]) > 0.0) == (k == 0) ? 1 : -1;
                for (std::size_t i = 1; i < polygon[k].size(); ++i) {
                    const Point &from = polygon[k][i - 1], &to = polygon[k][i];
                    if (from == to)
                        continue;
                    const bool turned = to.x < from.x || (to.x == from.x && to.y < from.y);
                    const EdgeInRing edge{&from, turned, 1, turned ? -sign : sign};
                    parts[hash_of(edge) >> 61].push_back(edge);
                }
            }
    return parts;
}

/// What one part holds of edges that only one tile has; nothing where tiles share them wrongly.
std::optional<std::vector<Leg>> unshared_in(const std::vector<EdgeParts>& all, std::size_t part) {
    std::size_t count = 0;
    for (const auto& parts : all)
        count += parts[part].size();
    Tally<EdgeInRing> tally(count);
    for (const auto& parts : all)
        for (const auto& edge : parts[part])
            tally.add(edge);
    std::vector<Leg> alone;
    for (const auto& edge : tally.take()) {
        if (edge.times > 2 || (edge.times == 2 && edge.balance != 0))
            return std::nullopt;
        if (edge.times == 1)
            alone.push_back(edge.balance > 0 ? Leg{edge.a(), edge.b()} : Leg{edge.b(), edge.a()});
    }
    return alone;
}

} // namespace

std::optional<std::vector<Leg>> unshared_edges(const std::vector<std::vector<PolygonRings>>& tiles) {
    constexpr std::size_t at_once = 64;
    std::vector<EdgeParts> all((tiles.size() + at_once - 1) / at_once);
    parallel_for(
        all.size(),
        [&](std::size_t i) {
            const std::size_t from = i * at_once;
            all[i] = edges_of(std::span(tiles).subspan(from, std::min(at_once, tiles.size() - from)));
        },
        0, 1);
    std::array<std::optional<std::vector<Leg>>, edge_parts> alone;
    parallel_for(
        edge_parts, [&](std::size_t part) { alone[part] = unshared_in(all, part); }, 0, 1);
    std::vector<Leg> out;
    for (const auto& some : alone) {
        if (!some)
            return std::nullopt;
        out.insert(out.end(), some->begin(), some->end());
    }
    return out;
}

} // namespace dangerline::geo
