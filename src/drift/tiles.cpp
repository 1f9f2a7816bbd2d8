#include "drift/tiles.hpp"

#include <algorithm>
#include <cmath>

namespace dangerline::drift {

namespace {

constexpr double side_m = 250.0;
constexpr std::size_t chain_edges = 8;
// Places are floats, tides straight lines: both are known better than this.
constexpr double farthest_free_m = 150.0; // distance bounds know of what is farther away
constexpr double rounding_m = 0.5, same_tide_m = 1e-5;

std::size_t squares(double metres) {
    return static_cast<std::size_t>(metres / side_m) + 1;
}

/// Edges near a box, as a shape of short lines: each has a box of its own and is passed over where it is far.
geo::Shape edges_near(const geo::Shape& shape, const geo::Box& box) {
    std::vector<std::vector<geo::Point>> chains;
    const auto box_of = [](geo::Point a, geo::Point b) {
        return geo::Box{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
    };
    for (const auto& run : shape.runs()) {
        if (!run.box.meets(box))
            continue;
        const auto points = shape.points();
        if (run.first == run.last)
            chains.push_back({points[run.first]});
        std::size_t open = 0; // edges of the chain at hand
        for (std::uint32_t i = run.first; i < run.last; ++i) {
            const bool near = box_of(points[i], points[i + 1]).meets(box);
            if (near && (open == 0 || open == chain_edges)) {
                chains.push_back({points[i]});
                open = 0;
            }
            if (near)
                chains.back().push_back(points[i + 1]);
            open = near ? open + 1 : 0;
        }
    }
    return geo::Shape::of_lines(chains);
}

double distance(geo::Point p, const geo::Box& box) {
    const double x = std::max({box.min_x - p.x, p.x - box.max_x, 0.0});
    const double y = std::max({box.min_y - p.y, p.y - box.max_y, 0.0});
    return std::sqrt(x * x + y * y);
}

} // namespace

Tiles::Tiles(const std::vector<Obstacle>& all, const geo::BoxIndex& index, std::vector<bool> nested,
             const geo::Box& box)
    : all_(all), index_(index), nested_(std::move(nested)), corner_{box.min_x, box.min_y},
      columns_(squares(box.max_x - box.min_x)), squares_(columns_ * squares(box.max_y - box.min_y)) {}

const Tile* Tiles::at(geo::Point place) const {
    const double x = (place.x - corner_.x) * (1.0 / side_m), y = (place.y - corner_.y) * (1.0 / side_m);
    if (!(x >= 0.0 && y >= 0.0) || x >= static_cast<double>(columns_))
        return nullptr;
    const auto column = static_cast<std::size_t>(x), row = static_cast<std::size_t>(y);
    if (row * columns_ + column >= squares_.size())
        return nullptr;
    Square& square = squares_[row * columns_ + column];
    if (!square.made.load(std::memory_order_acquire))
        std::call_once(square.once, [&] {
            make(square.tile, column, row);
            square.made.store(true, std::memory_order_release);
        });
    return &square.tile;
}

void Tiles::make(Tile& tile, std::size_t column, std::size_t row) const {
    const double x = corner_.x + side_m * static_cast<double>(column);
    const double y = corner_.y + side_m * static_cast<double>(row);
    const geo::Box reached = geo::Box{x, y, x + side_m, y + side_m}.grown(reach_m + 1.0);
    for (const auto i : index_.meeting(reached)) {
        const Obstacle& o = all_[i];
        const bool area = o.extent->kind() == geo::ShapeKind::area, rough = o.says == Obstacle::Says::rough;
        tile.near.push_back({i, o.zone_below_m, o.touch_below_m, o.zone_m, o.touch_m,
                             o.extent->box().grown(o.zone_m), area, !rough && !o.above_m, rough});
    }
    const auto hazard = [&](const Tile::Near& n) {
        return std::pair(all_[n.obstacle].hazard, all_[n.obstacle].moving);
    };
    std::stable_sort(tile.near.begin(), tile.near.end(), [&](const Tile::Near& a, const Tile::Near& b) {
        return std::pair(hazard(a), a.zone_below_m) < std::pair(hazard(b), b.zone_below_m);
    });
    std::erase_if(tile.near, [&](const Tile::Near& n) {
        auto edges = edges_near(*all_[n.obstacle].extent, reached.grown(n.zone_m));
        // An area all round has no edge near, but may come into force.
        if (edges.empty() && !n.area)
            return true;
        tile.edges.push_back(std::move(edges));
        return false;
    });
    for (std::size_t i = 0; i < tile.near.size(); ++i) {
        const Tile::Near& near = tile.near[i];
        const bool new_group = i == 0 || hazard(near) != hazard(tile.near[i - 1]);
        if (new_group)
            tile.groups.push_back({i, i, true});
        // Nor may an inner step be grown by more than an outer one.
        const bool within = new_group || near.zone_m <= tile.near[i - 1].zone_m;
        tile.groups.back().end = i + 1;
        tile.groups.back().nested = tile.groups.back().nested && nested_[near.obstacle] && within;
    }
}

bool Tile::Near::counts(double tide_m, bool zones) const {
    if (!by_tide)
        return zones || !rough;
    return (zones ? zone_below_m : touch_below_m) > tide_m - same_tide_m;
}

bool Tile::Near::comes(double highest_m, bool zones) const {
    return area && !(by_tide && (zones ? zone_below_m : touch_below_m) > highest_m + same_tide_m);
}

double Tiles::free_m(geo::Point place, double tide_m, double highest_m, bool zones) const {
    const Tile* const tile = at(place);
    if (!tile)
        return 0.0;
    double best = farthest_free_m;
    for (const auto& group : tile->groups)
        for (std::size_t i = group.begin; i < group.end; ++i) {
            const auto& near = tile->near[i];
            if (!near.counts(tide_m, zones))
                continue;
            if (distance(place, near.box) < best) {
                const auto& extent = *all_[near.obstacle].extent;
                const bool within =
                    near.comes(highest_m, zones) && extent.box().meets({place.x, place.y, place.x, place.y});
                best = std::min(best, (within ? extent : tile->edges[i]).distance(place) -
                                          (zones ? near.zone_m : near.touch_m));
            }
            if (group.nested)
                break; // the others lie within it
        }
    return std::max(0.0, best - rounding_m);
}

bool Tiles::any_near(geo::Point from, const geo::Box& box, double tide_m, double highest_m,
                     bool zones) const {
    const Tile* const tile = of_step(from, box);
    if (!tile)
        return true;
    for (const auto& group : tile->groups)
        for (std::size_t i = group.begin; i < group.end; ++i) {
            const auto& near = tile->near[i];
            if (!near.counts(tide_m, zones))
                continue;
            if (box.meets(near.box)) {
                if (near.comes(highest_m, zones))
                    return true;
                const geo::Box reached = box.grown(near.zone_m + rounding_m);
                for (const auto& run : tile->edges[i].runs())
                    if (reached.meets(run.box))
                        return true;
            }
            if (group.nested)
                break; // the others lie within it
        }
    return false;
}

} // namespace dangerline::drift
