#include "dangerline/seabed/window.hpp"

#include "dangerline/base/parallel.hpp"
#include "dangerline/geo/numbering.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <numeric>

namespace dangerline::seabed {

namespace {

using chart::Feature;
using geo::Point;

geo::Box box_of(Point a, Point b) {
    return {std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
}

bool holds(const geo::Box& outer, const geo::Box& inner) {
    return inner.min_x >= outer.min_x && inner.min_y >= outer.min_y && inner.max_x <= outer.max_x &&
           inner.max_y <= outer.max_y;
}

struct Side {
    Point a, b; ///< in the order of their coordinates
    bool operator==(const Side&) const = default;
};

Side side_of(Point a, Point b) {
    const bool turned = b.x < a.x || (b.x == a.x && b.y < a.y);
    return turned ? Side{b, a} : Side{a, b};
}

std::uint64_t hash_of(const Side& s) {
    return geo::mixed(geo::mixed(geo::hash_of(s.a), s.b.x), s.b.y);
}

bool is_doubtful(const Feature& soundings) {
    // S-57 QUASOU: depth unknown, doubtful, unreliable, not confirmed as reported.
    constexpr int codes[] = {2, 3, 4, 8, 9};
    return std::any_of(std::begin(codes), std::end(codes),
                       [&](int code) { return soundings.attributes.has_code("QUASOU", code); });
}

struct EdgeDepth {
    double depth_m;
    Source source;
};

std::vector<geo::Ring> rings_of(const geo::Shape& area) {
    std::vector<geo::Ring> rings;
    for (std::size_t i = 0; i < area.part_count(); ++i)
        if (const auto part = area.part(i); part.size() > 3)
            rings.emplace_back(part.begin(), part.end());
    return rings;
}

/// The depth that ranges on both sides of an edge allow, for the area with range `own`.
EdgeDepth depth_over_edge(const DepthRange& own, const Feature* other) {
    const auto beside = other ? range_of(*other) : std::nullopt;
    if (beside && beside->shoalest_m >= own.deepest_m)
        return {own.deepest_m, Source::edge};
    if (beside && beside->deepest_m <= own.shoalest_m)
        return {own.shoalest_m, Source::edge};
    return {own.shoalest_m, Source::shoal_end};
}

} // namespace

std::optional<DepthRange> range_of(const Feature& area) {
    if (area.cls != "DEPARE")
        return std::nullopt;
    const auto one = area.attributes.number("DRVAL1"), other = area.attributes.number("DRVAL2");
    if (!one || !other || *one == *other)
        return std::nullopt;
    return DepthRange{std::min(*one, *other), std::max(*one, *other)};
}

/// The one or two areas beside each side of the skin of the earth.
struct Window::Edges {
    struct Areas {
        const Feature* one = nullptr;
        const Feature* other = nullptr;
    };
    explicit Edges(std::size_t most) : sides(most) {}
    void add(const Side& side, const Feature& area) {
        bool fresh = false;
        const auto number = sides.number(side, fresh);
        if (fresh)
            areas.emplace_back();
        auto& beside = areas[number];
        (beside.one ? beside.other : beside.one) = &area;
    }
    bool has(const Side& side) const { return sides.find(side) != geo::no_number; }
    /// The area on the other side; null where there is none.
    const Feature* beyond(const Side& side, const Feature& area) const {
        const auto number = sides.find(side);
        if (number == geo::no_number)
            return nullptr;
        const auto& beside = areas[number];
        return beside.one == &area ? beside.other : beside.one;
    }

    geo::Numbering<Side> sides;
    std::vector<Areas> areas;
};

Window::Window(const chart::Cell& cell, std::vector<geo::Box> near) : near_(std::move(near)) {
    std::vector<std::pair<const Feature*, const geo::Shape::Run*>> runs;
    std::size_t most = 0;
    for (const auto& f : cell.features) {
        if (!f.shape || f.shape->empty())
            continue;
        const bool sounding = f.cls == "SOUNDG", contour = f.cls == "DEPCNT";
        const bool bottom = chart::is_group_one(f.cls) && f.shape->kind() == geo::ShapeKind::area;
        if (!sounding && !contour && !bottom)
            continue;
        const auto box = window_of(*f.shape);
        if (!box)
            continue;
        if (sounding && !is_doubtful(f))
            soundings_.push_back(&f);
        if (contour && f.attributes.number("VALDCO"))
            contours_.push_back(&f);
        if (!bottom)
            continue;
        for (const auto& run : f.shape->runs())
            if (run.box.meets(*box)) {
                runs.emplace_back(&f, &run);
                most += run.last - run.first;
            }
    }
    auto edges = std::make_unique<Edges>(most);
    for (const auto& [f, run] : runs)
        for (std::uint32_t i = run->first; i < run->last; ++i)
            edges->add(side_of(f->shape->points()[i], f->shape->points()[i + 1]), *f);
    edges_ = std::move(edges);
}

Window::~Window() = default;

std::optional<geo::Box> Window::window_of(const geo::Shape& area) const {
    std::optional<geo::Box> all;
    for (const auto& box : near_) {
        // The box of a long thin area says little of where it is.
        const auto runs = area.runs();
        const bool comes_near =
            box.meets(area.box()) &&
            (std::any_of(runs.begin(), runs.end(), [&](const auto& run) { return run.box.meets(box); }) ||
             area.contains({(box.min_x + box.max_x) / 2.0, (box.min_y + box.max_y) / 2.0}));
        if (comes_near)
            all = !all ? box
                       : geo::Box{std::min(all->min_x, box.min_x), std::min(all->min_y, box.min_y),
                                  std::max(all->max_x, box.max_x), std::max(all->max_y, box.max_y)};
    }
    return all;
}

std::vector<MadeSurface> Window::make(const std::vector<const Feature*>& areas) const {
    std::vector<MadeSurface> made(areas.size());
    // The largest first and one at a time, or a single long area would be waited for at the end.
    std::vector<std::size_t> order(areas.size());
    std::iota(order.begin(), order.end(), 0U);
    const auto size = [&](std::size_t i) { return areas[i]->shape ? areas[i]->shape->points().size() : 0; };
    std::stable_sort(order.begin(), order.end(),
                     [&](std::size_t a, std::size_t b) { return size(a) > size(b); });
    parallel_for(
        order.size(), [&](std::size_t k) { made[order[k]] = make_one(*areas[order[k]]); }, 0, 1);
    return made;
}

MadeSurface Window::make_one(const Feature& area) const {
    MadeSurface made;
    const auto range = range_of(area);
    if (!range || !area.shape || area.shape->kind() != geo::ShapeKind::area)
        return made;
    const auto window = window_of(*area.shape);
    if (!window)
        return made;
    made.window = *window;
    auto rings = rings_of(*area.shape);
    if (!holds(*window, area.shape->box())) {
        auto cut = area.broken_geometry
                       ? geo::cut_by_box(geo::to_shape(geo::united({area.shape.get()})), *window)
                       : geo::cut_by_box(*area.shape, *window);
        rings = std::move(cut.inside);
        made.beyond = std::move(cut.outside);
    }
    const AreaDepths depths = depths_of(area, *range, std::move(rings));
    if (depths.area.empty())
        return made;
    std::vector<geo::Box> near;
    std::copy_if(near_.begin(), near_.end(), std::back_inserter(near),
                 [&](const geo::Box& box) { return box.meets(area.shape->box()); });
    if (auto surface = Surface::build(depths, near))
        made.surface = std::make_shared<const Surface>(std::move(*surface));
    else
        made.why_not =
            "no surface can be laid through its edges, contours and soundings; its shoalest depth counts";
    return made;
}

AreaDepths Window::depths_of(const Feature& area, const DepthRange& range,
                             std::vector<geo::Ring> rings) const {
    AreaDepths out;
    out.shoalest_m = range.shoalest_m;
    out.deepest_m = range.deepest_m;
    out.area = std::move(rings);
    for (const auto& ring : out.area)
        for (std::size_t k = 0; k + 1 < ring.size(); ++k) {
            const auto [depth_m, source] =
                depth_over_edge(range, edges_->beyond(side_of(ring[k], ring[k + 1]), area));
            out.edge_depth_m.push_back(depth_m);
            out.edge_source.push_back(source);
        }
    if (out.area.empty())
        return out;
    const geo::Shape inside = geo::Shape::of_area(out.area);
    take_soundings(inside, out);
    take_contours(inside, out);
    return out;
}

void Window::take_soundings(const geo::Shape& inside, AreaDepths& out) const {
    constexpr double on_edge_m = 0.05; // a point on an edge would have to split it
    const geo::Shape rim = geo::Shape::of_lines(out.area);
    for (const auto* f : soundings_) {
        const auto points = f->shape->points();
        for (std::size_t i = 0; i < points.size() && i < f->geometry.depths_m.size(); ++i) {
            const double depth_m = f->geometry.depths_m[i];
            if (!std::isnan(depth_m) && box_of(points[i], points[i]).meets(inside.box()) &&
                inside.contains(points[i]) && rim.distance(points[i]) > on_edge_m)
                out.soundings.push_back({points[i], depth_m, Source::sounding, to_text(f->id)});
        }
    }
}

void Window::take_contours(const geo::Shape& inside, AreaDepths& out) const {
    for (const auto* f : contours_) {
        const double depth_m = *f->attributes.number("VALDCO");
        const auto points = f->shape->points();
        if (!f->shape->box().meets(inside.box()) || f->shape->kind() != geo::ShapeKind::lines)
            continue;
        for (const auto& run : f->shape->runs())
            for (std::uint32_t i = run.first; i < run.last; ++i) {
                const Point a = points[i], b = points[i + 1];
                const auto along = [&](double t) {
                    return Point{a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
                };
                if (!box_of(a, b).meets(inside.box()) || edges_->has(side_of(a, b)))
                    continue;
                if (inside.contains(along(0.001)) && inside.contains(along(0.5)) &&
                    inside.contains(along(0.999)))
                    out.contours.push_back({{a, b}, depth_m, to_text(f->id)});
            }
    }
}

} // namespace dangerline::seabed
