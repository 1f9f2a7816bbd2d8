// Where a straight leg comes within a radius of a shape, in closed form.
#pragma once

#include <limits>
#include <optional>
#include <vector>

#include "dangerline/geo/shape.hpp"

namespace dangerline::geo {

/// A closed interval of metres along a leg, from <= to.
struct Span {
    double from = 0.0;
    double to = 0.0;
    bool operator==(const Span&) const = default;
};

/// Sorts and joins spans that overlap or touch (gap <= `slack`).
void join(std::vector<Span>& spans, double slack = 1e-9);
/// The parts of `whole` that no span covers; `spans` must be joined.
std::vector<Span> remainder(Span whole, const std::vector<Span>& spans);

struct Leg {
    Point from;
    Point to;
    double length() const;
    Point at(double metres) const;
};

/// Keeps only what lies on the side of `origin` that `direction` points to. A shape cut so has no edge along
/// the cut itself.
struct HalfPlane {
    Point origin;
    Point direction; ///< unit vector
};

/// The spans of the leg from which some point of the shape is at most `radius` away (inside an area counts as
/// 0), joined and clipped to [0, leg length]. Exact: a disc per vertex, a strip and two discs per edge, the
/// inside of an area by crossings. A leg of length 0 gives [0, 0] or nothing. With `beyond`, edges are first
/// clipped to that half-plane; points of the leg that lie inside the whole area still count.
std::vector<Span> reach(const Leg& leg, const Shape& shape, double radius,
                        const std::optional<HalfPlane>& beyond = std::nullopt);

/// Nearest approach of a leg to a shape.
struct Nearest {
    double metres = std::numeric_limits<double>::infinity(); ///< 0 where the leg meets it
    double along = 0.0; ///< metres along the leg, the first of several equal ones
    Point on_shape{};   ///< the nearest point of the shape; the leg's own point where it is inside an area
};
Nearest nearest(const Leg& leg, const Shape& shape);

} // namespace dangerline::geo
