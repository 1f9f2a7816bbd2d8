#include "dangerline/survey/compare.hpp"

#include "dangerline/geo/reach.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace dangerline::survey {

namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();
constexpr double apart_m = 50.0;
constexpr std::size_t most_places = 2000;

bool is_far(const geo::Box& a, const geo::Box& b, double limit_m) {
    return !a.grown(limit_m).meets(b);
}

/// Whether some place of one shape lies inside the other; edges that cross are found by their distance.
bool one_holds_other(const geo::Shape& a, const geo::Shape& b) {
    const auto holds = [](const geo::Shape& area, const geo::Shape& other) {
        for (std::size_t i = 0; i < other.part_count(); ++i)
            if (area.contains(other.part(i).front()))
                return true;
        return false;
    };
    return holds(a, b) || holds(b, a);
}

double gap(const geo::Shape& a, const geo::Shape& b, double limit_m) {
    if (is_far(a.box(), b.box(), limit_m))
        return infinite;
    if (one_holds_other(a, b))
        return 0.0;
    double least = infinite;
    for (const auto& run : a.runs()) {
        if (is_far(run.box, b.box(), std::min(limit_m, least)))
            continue;
        if (a.kind() == geo::ShapeKind::points || run.first == run.last) {
            for (auto i = run.first; i <= run.last; ++i)
                least = std::min(least, b.distance(a.points()[i]));
            continue;
        }
        for (auto i = run.first; i < run.last && least > 0.0; ++i)
            least = std::min(least, geo::nearest({a.points()[i], a.points()[i + 1]}, b).metres);
    }
    return least <= limit_m ? least : infinite;
}

/// Corners, and places on edges no further apart than `apart_m` as long as they are not too many.
std::vector<geo::Point> places_of(const geo::Shape& shape) {
    std::vector<geo::Point> places;
    for (std::size_t part = 0; part < shape.part_count(); ++part) {
        const auto points = shape.part(part);
        for (std::size_t i = 0; i < points.size(); ++i) {
            places.push_back(points[i]);
            if (i + 1 == points.size() || shape.kind() == geo::ShapeKind::points)
                continue;
            const geo::Leg edge{points[i], points[i + 1]};
            const double length = edge.length();
            for (double s = apart_m; s < length && places.size() < most_places; s += apart_m)
                places.push_back(edge.at(s));
        }
    }
    return places;
}

double distance_to(const Comparable& object, geo::Point p) {
    double least = infinite;
    for (const auto& shape : object.shapes)
        least = std::min(least, shape->distance(p));
    return least;
}

} // namespace

double gap_between(const Comparable& a, const Comparable& b, double limit_m) {
    double least = infinite;
    for (const auto& one : a.shapes)
        for (const auto& other : b.shapes)
            least = std::min(least, gap(*one, *other, std::min(limit_m, least)));
    return least;
}

bool is_within(const geo::Shape& a, const geo::Shape& b, double metres) {
    return gap(a, b, metres) <= metres;
}

double reach_beyond(const Comparable& a, const Comparable& b) {
    double most = 0.0;
    for (const auto& shape : a.shapes)
        for (const auto& place : places_of(*shape))
            most = std::max(most, distance_to(b, place));
    return most;
}

} // namespace dangerline::survey
