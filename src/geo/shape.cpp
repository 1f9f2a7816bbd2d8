#include "dangerline/geo/shape.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

namespace dangerline::geo {

namespace {

constexpr std::uint32_t run_edges = 64;

void widen(Box& box, Point p) {
    box.min_x = std::min(box.min_x, p.x);
    box.min_y = std::min(box.min_y, p.y);
    box.max_x = std::max(box.max_x, p.x);
    box.max_y = std::max(box.max_y, p.y);
}

double squared_distance(Point p, Point a, Point b) {
    const double dx = b.x - a.x, dy = b.y - a.y;
    const double length2 = dx * dx + dy * dy;
    double t = length2 > 0.0 ? ((p.x - a.x) * dx + (p.y - a.y) * dy) / length2 : 0.0;
    t = std::clamp(t, 0.0, 1.0);
    const double ex = p.x - a.x - t * dx, ey = p.y - a.y - t * dy;
    return ex * ex + ey * ey;
}

double squared_distance(Point p, const Box& box) {
    const double dx = std::max({box.min_x - p.x, p.x - box.max_x, 0.0});
    const double dy = std::max({box.min_y - p.y, p.y - box.max_y, 0.0});
    return dx * dx + dy * dy;
}

// Whether the ray from p towards east crosses the edge; an end exactly at p's height counts as below.
bool crosses(Point p, Point a, Point b) {
    if ((a.y > p.y) == (b.y > p.y))
        return false;
    const double side = (b.x - a.x) * (p.y - a.y) - (p.x - a.x) * (b.y - a.y);
    return (side > 0.0) == (b.y > a.y);
}

/// Which of equal slabs a height within the box falls into; never falls as the height grows.
std::size_t slab_at(const Box& box, std::size_t slabs, double y) {
    const double share = (y - box.min_y) / (box.max_y - box.min_y);
    return std::min(slabs - 1, static_cast<std::size_t>(share * static_cast<double>(slabs)));
}

} // namespace

Shape Shape::of_points(std::vector<Point> points) {
    Shape shape;
    shape.kind_ = ShapeKind::points;
    shape.points_ = std::move(points);
    for (std::uint32_t i = 0; i < shape.points_.size(); ++i)
        shape.parts_.push_back({i, i + 1});
    shape.index();
    return shape;
}

Shape Shape::of_lines(const std::vector<std::vector<Point>>& chains) {
    Shape shape;
    shape.kind_ = ShapeKind::lines;
    for (const auto& chain : chains) {
        if (chain.empty())
            continue;
        const auto first = static_cast<std::uint32_t>(shape.points_.size());
        shape.points_.insert(shape.points_.end(), chain.begin(), chain.end());
        shape.parts_.push_back({first, static_cast<std::uint32_t>(shape.points_.size())});
    }
    shape.index();
    return shape;
}

Shape Shape::of_area(const std::vector<std::vector<Point>>& rings) {
    Shape shape;
    shape.kind_ = ShapeKind::area;
    for (const auto& ring : rings) {
        if (ring.empty())
            continue;
        const auto first = static_cast<std::uint32_t>(shape.points_.size());
        shape.points_.insert(shape.points_.end(), ring.begin(), ring.end());
        if (ring.size() > 1 && !(ring.front() == ring.back()))
            shape.points_.push_back(ring.front());
        shape.parts_.push_back({first, static_cast<std::uint32_t>(shape.points_.size())});
    }
    shape.index();
    return shape;
}

void Shape::index() {
    constexpr double far = std::numeric_limits<double>::infinity();
    if (points_.empty())
        return;
    box_ = {far, far, -far, -far};
    for (const Part& part : parts_) {
        std::uint32_t from = part.first;
        do {
            Run run{{far, far, -far, -far}, from, std::min(from + run_edges, part.last - 1)};
            for (std::uint32_t i = run.first; i <= run.last; ++i)
                widen(run.box, points_[i]);
            widen(box_, {run.box.min_x, run.box.min_y});
            widen(box_, {run.box.max_x, run.box.max_y});
            runs_.push_back(run);
            from = run.last;
        } while (from + 1 < part.last);
    }
    deal_into_slabs();
}

std::span<const Point> Shape::part(std::size_t i) const {
    const Part part = parts_.at(i);
    return std::span(points_).subspan(part.first, part.last - part.first);
}

void Shape::deal_into_slabs() {
    constexpr std::size_t few = 24, runs_a_slab = 4;
    if (kind_ != ShapeKind::area || runs_.size() < few || !(box_.max_y > box_.min_y))
        return;
    const std::size_t slabs = runs_.size() / runs_a_slab;
    const auto reach = [&](const Run& run) {
        return std::pair(slab_at(box_, slabs, run.box.min_y), slab_at(box_, slabs, run.box.max_y));
    };
    slab_first_.assign(slabs + 1, 0);
    for (const Run& run : runs_)
        for (auto [slab, last] = reach(run); slab <= last; ++slab)
            ++slab_first_[slab + 1];
    std::partial_sum(slab_first_.begin(), slab_first_.end(), slab_first_.begin());
    slab_runs_.resize(slab_first_.back());
    auto next = slab_first_;
    for (std::uint32_t i = 0; i < runs_.size(); ++i)
        for (auto [slab, last] = reach(runs_[i]); slab <= last; ++slab)
            slab_runs_[next[slab]++] = i;
}

/// Whether the ray from p towards east crosses the run's edges an odd number of times.
bool Shape::crossed_in(const Run& run, Point p) const {
    if (run.box.max_x < p.x || run.box.min_y > p.y || run.box.max_y <= p.y)
        return false;
    if (run.box.min_x > p.x) // wholly east of p: odd exactly if the ends lie on both sides
        return (points_[run.first].y > p.y) != (points_[run.last].y > p.y);
    bool odd = false;
    for (std::uint32_t i = run.first; i < run.last; ++i)
        odd ^= crosses(p, points_[i], points_[i + 1]);
    return odd;
}

bool Shape::contains(Point p) const {
    if (kind_ != ShapeKind::area || points_.empty() || !box_.meets({p.x, p.y, p.x, p.y}))
        return false;
    bool inside = false;
    if (slab_first_.empty()) {
        for (const Run& run : runs_)
            inside ^= crossed_in(run, p);
        return inside;
    }
    const std::size_t slab = slab_at(box_, slab_first_.size() - 1, p.y);
    for (std::uint32_t i = slab_first_[slab]; i < slab_first_[slab + 1]; ++i)
        inside ^= crossed_in(runs_[slab_runs_[i]], p);
    return inside;
}

double Shape::distance(Point p) const {
    if (contains(p))
        return 0.0;
    double best = std::numeric_limits<double>::infinity();
    for (const Run& run : runs_) {
        if (squared_distance(p, run.box) >= best)
            continue;
        if (run.first == run.last)
            best = std::min(best, squared_distance(p, points_[run.first], points_[run.first]));
        for (std::uint32_t i = run.first; i < run.last; ++i)
            best = std::min(best, squared_distance(p, points_[i], points_[i + 1]));
    }
    return std::sqrt(best);
}

} // namespace dangerline::geo
