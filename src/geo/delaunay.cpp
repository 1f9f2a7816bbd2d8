#include "delaunay.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <stdexcept>

namespace dangerline::geo {

namespace {

#ifdef __SIZEOF_FLOAT128__
using Wide = __float128;
#else
using Wide = long double;
static_assert(std::numeric_limits<long double>::digits >= 113, "needs a wider number");
#endif

/// Positive where c lies left of the line from a to b, 0 on it.
int side_of(Point a, Point b, Point c) {
    constexpr double bound = 3.3306690738754716e-16; // (3 + 16 e) e with e = 2^-53
    const double left = (a.x - c.x) * (b.y - c.y), right = (a.y - c.y) * (b.x - c.x);
    const double sign = left - right, error = bound * (std::abs(left) + std::abs(right));
    if (sign > error || -sign > error)
        return sign > 0.0 ? 1 : -1;
    const Wide wide =
        (Wide(a.x) - Wide(c.x)) * (Wide(b.y) - Wide(c.y)) - (Wide(a.y) - Wide(c.y)) * (Wide(b.x) - Wide(c.x));
    return wide > Wide(0) ? 1 : wide < Wide(0) ? -1 : 0;
}

template <typename Number>
struct Circle {
    Number sign, size; ///< size: what rounding errors are measured by
};

template <typename Number>
Circle<Number> circle(Point a, Point b, Point c, Point d) {
    const Number ax = Number(a.x) - Number(d.x), ay = Number(a.y) - Number(d.y);
    const Number bx = Number(b.x) - Number(d.x), by = Number(b.y) - Number(d.y);
    const Number cx = Number(c.x) - Number(d.x), cy = Number(c.y) - Number(d.y);
    const Number bc = bx * cy, cb = cx * by, ca = cx * ay, ac = ax * cy, ab = ax * by, ba = bx * ay;
    const Number aa = ax * ax + ay * ay, bb = bx * bx + by * by, cc = cx * cx + cy * cy;
    const auto size = [](Number x) { return x < Number(0) ? -x : x; };
    return {aa * (bc - cb) + bb * (ca - ac) + cc * (ab - ba),
            aa * (size(bc) + size(cb)) + bb * (size(ca) + size(ac)) + cc * (size(ab) + size(ba))};
}

/// Whether d certainly lies inside the circle around the counter-clockwise triangle a, b, c.
bool circle_holds(Point a, Point b, Point c, Point d) {
    constexpr double bound = 1.1102230246251577e-15; // (10 + 96 e) e
    const auto quick = circle<double>(a, b, c, d);
    if (std::abs(quick.sign) > bound * quick.size)
        return quick.sign > 0.0;
    const auto wide = circle<Wide>(a, b, c, d);
    constexpr double wide_bound = 1e-32; // 10 times 2^-113, and a reserve
    return wide.sign > Wide(wide_bound) * wide.size;
}

/// Place along Hilbert's curve through a square of 2^16 cells a side: neighbours in the list are near.
std::uint32_t along_curve(std::uint32_t x, std::uint32_t y) {
    std::uint32_t along = 0;
    for (std::uint32_t s = 1U << 15; s > 0; s /= 2) {
        const std::uint32_t right = (x & s) ? 1 : 0, up = (y & s) ? 1 : 0;
        along = along * 4 + ((3 * right) ^ up);
        if (!up) {
            if (right) {
                x = 0xFFFFU - x;
                y = 0xFFFFU - y;
            }
            std::swap(x, y);
        }
    }
    return along;
}

std::vector<std::uint32_t> near_to_near(const std::vector<Point>& points, const Box& box) {
    const double wide = std::max({box.max_x - box.min_x, box.max_y - box.min_y, 1.0});
    const auto cell = [&](double from) { return static_cast<std::uint32_t>(from / wide * 65535.0); };
    std::vector<std::pair<std::uint32_t, std::uint32_t>> order;
    order.reserve(points.size());
    for (std::uint32_t i = 0; i < points.size(); ++i)
        order.emplace_back(along_curve(cell(points[i].x - box.min_x), cell(points[i].y - box.min_y)), i);
    std::sort(order.begin(), order.end());
    std::vector<std::uint32_t> out;
    out.reserve(points.size());
    for (const auto& [along, i] : order)
        out.push_back(i);
    return out;
}

Box box_of(const std::vector<Point>& points) {
    Box box{points.front().x, points.front().y, points.front().x, points.front().y};
    for (const Point& p : points)
        box = {std::min(box.min_x, p.x), std::min(box.min_y, p.y), std::max(box.max_x, p.x),
               std::max(box.max_y, p.y)};
    return box;
}

} // namespace

Delaunay::Delaunay(const std::vector<Point>& points) {
    const Box box = points.empty() ? Box{0.0, 0.0, 0.0, 0.0} : box_of(points);
    const double wide = std::max({box.max_x - box.min_x, box.max_y - box.min_y, 1.0});
    sites_.reserve(corners + points.size() + points.size() / 8);
    sites_ = {{box.min_x - 3 * wide, box.min_y - 2.9 * wide},
              {box.max_x + 2.8 * wide, box.min_y - 3.1 * wide},
              {box.max_x + 3.2 * wide, box.max_y + 2.7 * wide},
              {box.min_x - 2.6 * wide, box.max_y + 3.3 * wide}};
    const bool other = circle_holds(sites_[0], sites_[1], sites_[2], sites_[3]);
    const std::uint32_t a = other ? 1 : 0, b = a + 1, c = a + 2, d = (a + 3) % 4;
    nodes_ = {{{a, b, c}, {outside, 1, outside}}, {{a, c, d}, {outside, outside, 0}}};
    one_of_.assign(corners + points.size(), outside);
    one_of_[a] = one_of_[b] = one_of_[c] = 0;
    one_of_[d] = 1;
    nodes_.reserve(2 * points.size() + 2);
    sites_.insert(sites_.end(), points.begin(), points.end());
    for (const std::uint32_t i : near_to_near(points, box))
        if (const Found where = find(points[i]); where.site == outside) {
            const std::uint32_t site = corners + i;
            where.side == 3 ? part_triangle(where.triangle, site)
                            : part_side(where.triangle, where.side, site);
            turn_sides(site);
        }
}

std::uint32_t Delaunay::insert(Point place) {
    const Found where = find(place);
    if (where.site != outside)
        return where.site;
    const auto site = static_cast<std::uint32_t>(sites_.size());
    sites_.push_back(place);
    one_of_.push_back(outside);
    where.side == 3 ? part_triangle(where.triangle, site) : part_side(where.triangle, where.side, site);
    turn_sides(site);
    return site;
}

/// Walks to the place across sides that it lies beyond; among Delaunay triangles that ends.
Delaunay::Found Delaunay::find(Point place) {
    std::uint32_t t = last_;
    for (std::size_t steps = 0; steps <= nodes_.size(); ++steps) {
        const auto& [corner, beyond] = nodes_[t];
        std::uint32_t on = 3, next = outside;
        for (std::uint32_t k = 0; k < 3 && next == outside; ++k) {
            if (sites_[corner[k]] == place)
                return {t, 3, corner[k]};
            const int side = side_of(sites_[corner[(k + 1) % 3]], sites_[corner[(k + 2) % 3]], place);
            if (side < 0)
                next = beyond[k];
            else if (side == 0)
                on = k;
        }
        if (next == outside)
            return {t, on, outside};
        t = next;
    }
    throw std::logic_error("no triangle holds the place");
}

/// The node seen from one of its corners, which comes first.
Delaunay::Node Delaunay::from_corner(std::uint32_t t, std::uint32_t k) const {
    const auto& [c, b] = nodes_[t];
    return {{c[k], c[(k + 1) % 3], c[(k + 2) % 3]}, {b[k], b[(k + 1) % 3], b[(k + 2) % 3]}};
}

/// Across one of its sides triangle t no longer meets `was` but `is`.
void Delaunay::meet(std::uint32_t t, std::uint32_t was, std::uint32_t is) {
    if (t != outside)
        *std::find(nodes_[t].beyond.begin(), nodes_[t].beyond.end(), was) = is;
}

void Delaunay::part_triangle(std::uint32_t t, std::uint32_t site) {
    const auto [corner, beyond] = nodes_[t];
    const auto [a, b, c] = corner;
    const auto t1 = static_cast<std::uint32_t>(nodes_.size()), t2 = t1 + 1;
    nodes_[t] = {{site, b, c}, {beyond[0], t1, t2}};
    nodes_.push_back({{site, c, a}, {beyond[1], t2, t}});
    nodes_.push_back({{site, a, b}, {beyond[2], t, t1}});
    meet(beyond[1], t, t1);
    meet(beyond[2], t, t2);
    one_of_[site] = one_of_[b] = one_of_[c] = t;
    one_of_[a] = t1;
    open_ = {t, t1, t2};
}

void Delaunay::part_side(std::uint32_t t, std::uint32_t side, std::uint32_t site) {
    const auto [corner, beyond] = from_corner(t, side);
    const auto [a, b, c] = corner;
    const std::uint32_t u = beyond[0];
    if (u == outside)
        throw std::logic_error("the place lies on the frame");
    const auto facing = static_cast<std::uint32_t>(
        std::find(nodes_[u].beyond.begin(), nodes_[u].beyond.end(), t) - nodes_[u].beyond.begin());
    const auto [other, far] = from_corner(u, facing); // d, c, b
    const std::uint32_t d = other[0];
    const auto t2 = static_cast<std::uint32_t>(nodes_.size()), u2 = t2 + 1;
    nodes_[t] = {{site, a, b}, {beyond[2], u2, t2}};
    nodes_.push_back({{site, c, a}, {beyond[1], t, u}});
    nodes_[u] = {{site, d, c}, {far[2], t2, u2}};
    nodes_.push_back({{site, b, d}, {far[1], u, t}});
    meet(beyond[1], t, t2);
    meet(far[1], u, u2);
    one_of_[site] = one_of_[a] = one_of_[b] = t;
    one_of_[c] = one_of_[d] = u;
    open_ = {t, t2, u, u2};
}

void Delaunay::turn_sides(std::uint32_t site) {
    last_ = one_of_[site];
    while (!open_.empty()) {
        const std::uint32_t t = open_.back();
        open_.pop_back();
        const auto& [corner, beyond] = nodes_[t];
        const std::uint32_t u = beyond[0];
        if (u == outside)
            continue;
        const auto& theirs = nodes_[u].beyond;
        const auto facing =
            static_cast<std::uint32_t>(std::find(theirs.begin(), theirs.end(), t) - theirs.begin());
        if (circle_holds(sites_[corner[0]], sites_[corner[1]], sites_[corner[2]],
                         sites_[nodes_[u].corner[facing]]))
            turn(t, u, facing);
    }
}

/// The side between t = (site, b, c) and u = (d, c, b) becomes one between site and d.
void Delaunay::turn(std::uint32_t t, std::uint32_t u, std::uint32_t facing) {
    const auto [corner, beyond] = nodes_[t];
    const auto [other, far] = from_corner(u, facing);
    const auto [site, b, c] = corner;
    const std::uint32_t d = other[0];
    nodes_[t] = {{site, b, d}, {far[1], u, beyond[2]}};
    nodes_[u] = {{site, d, c}, {far[2], beyond[1], t}};
    meet(far[1], u, t);
    meet(beyond[1], t, u);
    one_of_[b] = one_of_[d] = one_of_[site] = t;
    one_of_[c] = u;
    open_.push_back(t);
    open_.push_back(u);
}

bool Delaunay::joined(std::uint32_t a, std::uint32_t b) const {
    const std::uint32_t first = one_of_[a];
    if (first == outside)
        return false;
    for (std::uint32_t t = first; t != outside;) { // once around a, which lies inside
        const auto& [corner, beyond] = nodes_[t];
        const std::uint32_t k = corner[0] == a ? 0 : corner[1] == a ? 1 : 2;
        if (corner[(k + 1) % 3] == b)
            return true;
        t = beyond[(k + 1) % 3];
        if (t == first)
            return false;
    }
    return false;
}

std::vector<Delaunay::Triangle> Delaunay::triangles() const {
    std::vector<Triangle> out;
    out.reserve(nodes_.size());
    for (const auto& node : nodes_)
        out.push_back(node.corner);
    return out;
}

} // namespace dangerline::geo
