#include <algorithm>

#include "dangerline/geo/regions.hpp"
#include "outline.hpp"

namespace dangerline::geo {

namespace {

using Sides = std::vector<std::pair<Point, Point>>;

/// A line across the plane, at an x or a y.
struct Line {
    double at = 0.0;
    bool upright = false; ///< at an x
    double across(Point p) const { return upright ? p.x : p.y; }
    double along(Point p) const { return upright ? p.y : p.x; }
    bool less(Point p) const { return across(p) < at; }
    /// Whichever end comes first, so that areas that share a side get the same bits.
    Point crossed_by(Point a, Point b) const {
        if (less(b))
            std::swap(a, b);
        if (across(b) == at) // the corner itself, not the same place by other bits
            return b;
        const double t = (at - across(a)) / (across(b) - across(a));
        const double there = along(a) + t * (along(b) - along(a));
        return upright ? Point{at, there} : Point{there, at};
    }
};

/// The sides of an area on the lesser side of a line, with the line where it runs inside; the others are put
/// behind `more`. By the even-odd rule the line is inside between every second pair of crossings.
Sides part(const Sides& sides, const Line& line, Sides& more) {
    Sides less;
    std::vector<Point> crossings;
    for (const auto& [a, b] : sides) {
        const bool from = line.less(a), to = line.less(b);
        if (from == to) {
            (from ? less : more).emplace_back(a, b);
            continue;
        }
        const Point c = line.crossed_by(a, b);
        crossings.push_back(c);
        (from ? less : more).emplace_back(a, c);
        (to ? less : more).emplace_back(c, b);
    }
    std::sort(crossings.begin(), crossings.end(),
              [&](Point a, Point b) { return line.along(a) < line.along(b); });
    for (std::size_t i = 1; i < crossings.size(); i += 2) {
        less.emplace_back(crossings[i - 1], crossings[i]);
        more.emplace_back(crossings[i - 1], crossings[i]);
    }
    return less;
}

/// Where an area only touches the line from one side, its side there and the line bound nothing.
std::vector<Ring> without_flat(std::vector<Ring> rings) {
    std::erase_if(rings, [](const Ring& ring) {
        const auto same = [&](auto member) {
            return std::all_of(ring.begin(), ring.end(),
                               [&](Point p) { return p.*member == ring[0].*member; });
        };
        return same(&Point::x) || same(&Point::y);
    });
    return rings;
}

} // namespace

CutByBox cut_by_box(const Shape& area, const Box& box) {
    Sides all;
    if (area.kind() == ShapeKind::area)
        for (std::size_t k = 0; k < area.part_count(); ++k)
            if (const auto ring = area.part(k); ring.size() > 3)
                for (std::size_t i = 1; i < ring.size(); ++i)
                    all.emplace_back(ring[i - 1], ring[i]);
    // What lies beyond each side of the box in turn, by lines that hold their own points on the greater side.
    Sides rest, inside;
    Sides outside = part(all, {box.min_x, true}, rest);
    inside = part(rest, {box.max_x, true}, outside);
    rest.clear();
    const Sides south = part(inside, {box.min_y, false}, rest);
    outside.insert(outside.end(), south.begin(), south.end());
    inside = part(rest, {box.max_y, false}, outside);
    return {without_flat(rings_of(inside)), without_flat(rings_of(outside))};
}

} // namespace dangerline::geo
