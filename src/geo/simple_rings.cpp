#include "simple_rings.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace dangerline::geo {

namespace {

/// Beyond this neither overflow nor a number that is none needs a thought.
constexpr double far_metres = 1e9;
constexpr std::size_t most_corners = 1'000'000'000;
constexpr std::uint32_t leaf_segments = 6;
constexpr std::uint8_t all_ways = 15;
/// Pairs of nodes or rings looked at, for each node there is, before it is left to GEOS.
constexpr std::size_t most_looks_a_node = 200;

/// Side of c from a to b where it is certain, else 0. Source of the bound: Shewchuk, Adaptive Precision
/// Floating-Point Arithmetic (1997), doi 10.1007/PL00009321, section 4.3; the constant added covers
/// products too small to be rounded well.
int side(Point a, Point b, Point c) {
    const double left = (a.x - c.x) * (b.y - c.y), right = (a.y - c.y) * (b.x - c.x);
    const double cross = left - right;
    const double doubt = 3.3306690738754716e-16 * (std::abs(left) + std::abs(right)) + 1e-290;
    return (cross > doubt) - (cross < -doubt);
}

/// Certain that c and d lie on the same side of the line through a and b: c to d does not meet it.
bool same_side(Point a, Point b, Point c, Point d) {
    return side(a, b, c) * side(a, b, d) > 0;
}

/// Ways that a segment goes, a bit each: east, west, north, south. Signs of differences are exact. Segments
/// in a row that have one in common go on and on that way, and so cannot meet.
std::uint8_t ways_of(Point a, Point b) {
    return static_cast<std::uint8_t>((b.x > a.x) | (b.x < a.x) << 1 | (b.y > a.y) << 2 | (b.y < a.y) << 3);
}

/// Certain that b to c does not go back on a to b.
bool goes_on(Point a, Point b, Point c) {
    return (ways_of(a, b) & ways_of(b, c)) != 0 || side(a, b, c) != 0;
}

Box box_of(Point a, Point b) {
    return {std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
}

void widen(Box& box, const Box& by) {
    box.min_x = std::min(box.min_x, by.min_x);
    box.min_y = std::min(box.min_y, by.min_y);
    box.max_x = std::max(box.max_x, by.max_x);
    box.max_y = std::max(box.max_y, by.max_y);
}

/// Segments in a row, and the two halves of them.
struct Node {
    Box box;
    std::uint32_t first = 0, last = 0; ///< segments [first, last); segment i joins corners i and i + 1
    std::uint32_t right = 0; ///< node of the second half, 0 for a leaf; that of the first is the next
    std::uint8_t ways = 0;   ///< that all of them go
};

struct Outline {
    std::uint32_t polygon = 0;
    bool shell = false;
    std::uint32_t root = 0; ///< its node
};

class Proof {
  public:
    /// False where a ring is not fit for this proof.
    bool take(const std::vector<PolygonRings>& polygons) {
        std::size_t corners = 0;
        for (const auto& polygon : polygons)
            for (const Ring& ring : polygon)
                corners += ring.size();
        if (corners > most_corners)
            return false;
        corners_.reserve(corners);
        nodes_.reserve(corners / 2);
        for (std::uint32_t i = 0; i < polygons.size(); ++i) {
            if (polygons[i].empty())
                return false;
            for (std::size_t k = 0; k < polygons[i].size(); ++k)
                if (!take(polygons[i][k], i, k == 0))
                    return false;
        }
        looks_left_ = most_looks_a_node * nodes_.size();
        return true;
    }

    bool holds() {
        for (const Outline& ring : rings_) {
            ring_first_ = nodes_[ring.root].first;
            ring_last_ = nodes_[ring.root].last - 1;
            if (!simple(ring.root))
                return false;
        }
        // From west to east, so that only those are compared that have an x in common.
        const auto box = [&](const Outline& ring) -> const Box& { return nodes_[ring.root].box; };
        std::sort(rings_.begin(), rings_.end(),
                  [&](const Outline& a, const Outline& b) { return box(a).min_x < box(b).min_x; });
        for (std::size_t i = 0; i < rings_.size(); ++i)
            for (std::size_t k = i + 1; k < rings_.size() && box(rings_[k]).min_x <= box(rings_[i]).max_x;
                 ++k)
                if (!look() || (box(rings_[i]).meets(box(rings_[k])) && !agree(rings_[i], rings_[k])))
                    return false;
        return holes_in_shells_ == holes_;
    }

  private:
    bool take(const Ring& ring, std::uint32_t polygon, bool shell) {
        if (ring.size() < 4 || !(ring.front() == ring.back()))
            return false;
        const std::size_t begin = corners_.size();
        for (const Point p : ring) {
            if (!(std::abs(p.x) <= far_metres && std::abs(p.y) <= far_metres))
                return false;
            if (corners_.size() == begin || !(corners_.back() == p))
                corners_.push_back(p);
        }
        if (corners_.size() < begin + 4)
            return false;
        rings_.push_back(
            {polygon, shell,
             grow(static_cast<std::uint32_t>(begin), static_cast<std::uint32_t>(corners_.size() - 1))});
        holes_ += !shell;
        return true;
    }

    /// Makes the node of some segments and all below it.
    std::uint32_t grow(std::uint32_t first, std::uint32_t last) {
        const auto at = static_cast<std::uint32_t>(nodes_.size());
        nodes_.emplace_back();
        Node node{{}, first, last, 0, all_ways};
        if (last - first <= leaf_segments) {
            node.box = box_of(corners_[first], corners_[first]);
            for (std::uint32_t i = first; i < last; ++i) {
                widen(node.box, box_of(corners_[i + 1], corners_[i + 1]));
                node.ways &= ways_of(corners_[i], corners_[i + 1]);
            }
        } else {
            const std::uint32_t middle = first + (last - first) / 2;
            const std::uint32_t left = grow(first, middle);
            node.right = grow(middle, last);
            node.box = nodes_[left].box;
            widen(node.box, nodes_[node.right].box);
            node.ways = nodes_[left].ways & nodes_[node.right].ways;
        }
        nodes_[at] = node;
        return at;
    }

    /// False where it has taken too long.
    bool look() {
        if (looks_left_ == 0)
            return false;
        --looks_left_;
        return true;
    }

    bool simple(std::uint32_t at) {
        const Node& node = nodes_[at];
        if (node.ways != 0)
            return true;
        if (node.right != 0)
            return simple(at + 1) && simple(node.right) && apart(at + 1, node.right);
        for (std::uint32_t i = node.first; i < node.last; ++i)
            for (std::uint32_t k = i + 1; k < node.last; ++k)
                if (!segments_apart(i, k))
                    return false;
        return true;
    }

    /// Nodes of two rings, or of one where b stands behind a.
    bool apart(std::uint32_t a, std::uint32_t b) {
        if (!look())
            return false;
        const Node &first = nodes_[a], &second = nodes_[b];
        if (!first.box.meets(second.box) || (first.last == second.first && (first.ways & second.ways) != 0))
            return true;
        if (first.right == 0 && second.right == 0)
            return leaves_apart(first, second);
        if (second.right == 0 || (first.right != 0 && first.last - first.first >= second.last - second.first))
            return apart(a + 1, b) && apart(first.right, b);
        return apart(a, b + 1) && apart(a, second.right);
    }

    bool leaves_apart(const Node& a, const Node& b) {
        for (std::uint32_t i = a.first; i < a.last; ++i)
            if (box_of(corners_[i], corners_[i + 1]).meets(b.box))
                for (std::uint32_t k = b.first; k < b.last; ++k)
                    if (!segments_apart(i, k))
                        return false;
        return true;
    }

    /// Segments of two rings, or of one where k stands behind i. Between two rings one corner has no segment:
    /// none is next to one of another ring.
    bool segments_apart(std::uint32_t i, std::uint32_t k) const {
        const Point a = corners_[i], b = corners_[i + 1], c = corners_[k], d = corners_[k + 1];
        if (k == i + 1)
            return goes_on(a, b, d);
        if (i == ring_first_ && k == ring_last_)
            return goes_on(c, d, b);
        return !box_of(a, b).meets(box_of(c, d)) || same_side(a, b, c, d) || same_side(c, d, a, b);
    }

    /// Two rings whose boxes meet: no place in common, and where one lies in the other it may.
    bool agree(const Outline& a, const Outline& b) {
        // Holes of two polygons are apart where their shells are.
        if (a.polygon != b.polygon && !(a.shell && b.shell))
            return true;
        if (!apart(a.root, b.root))
            return false;
        const Where a_in_b = where(a, b), b_in_a = where(b, a);
        if (a.shell == b.shell)
            return a_in_b == Where::outside && b_in_a == Where::outside;
        ++holes_in_shells_;
        return (a.shell ? b_in_a : a_in_b) == Where::inside;
    }

    enum class Where { inside, outside, uncertain };
    /// Of a ring that has no place in common with the other.
    Where where(const Outline& ring, const Outline& other) const {
        const Box &box = nodes_[ring.root].box, &around = nodes_[other.root].box;
        if (box.min_x < around.min_x || box.max_x > around.max_x || box.min_y < around.min_y ||
            box.max_y > around.max_y)
            return Where::outside;
        bool odd = false;
        if (!count(corners_[nodes_[ring.root].first], other.root, odd))
            return Where::uncertain;
        return odd ? Where::inside : Where::outside;
    }

    /// Turns `odd` for every segment that the ray from p to the east crosses, an end at its height counting
    /// as below; false where that is not certain.
    bool count(Point p, std::uint32_t at, bool& odd) const {
        const Node& node = nodes_[at];
        if (node.box.max_x < p.x || node.box.min_y > p.y || node.box.max_y <= p.y)
            return true;
        if (node.box.min_x > p.x) {
            // Crossed an odd number of times exactly if its ends lie on both sides.
            odd ^= (corners_[node.first].y > p.y) != (corners_[node.last].y > p.y);
            return true;
        }
        if (node.right != 0)
            return count(p, at + 1, odd) && count(p, node.right, odd);
        for (std::uint32_t i = node.first; i < node.last; ++i) {
            const Point a = corners_[i], b = corners_[i + 1];
            if ((a.y > p.y) == (b.y > p.y))
                continue;
            const int on = side(a, b, p);
            if (on == 0)
                return false;
            odd ^= (on > 0) == (b.y > a.y);
        }
        return true;
    }

    std::vector<Point> corners_; ///< of all rings, closed, without repetitions
    std::vector<Node> nodes_;
    std::vector<Outline> rings_;
    std::uint32_t ring_first_ = 0, ring_last_ = 0; ///< segments that meet where the ring closes
    std::size_t looks_left_ = 0;
    std::size_t holes_ = 0, holes_in_shells_ = 0;
};

} // namespace

bool proven_valid(const std::vector<PolygonRings>& polygons) {
    Proof proof;
    return proof.take(polygons) && proof.holds();
}

} // namespace dangerline::geo
