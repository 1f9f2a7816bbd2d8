#include "dangerline/drift/dangers.hpp"

#include <algorithm>
#include <cmath>
#include <mutex>
#include <tuple>

#include "dangerline/base/parallel.hpp"
#include "dangerline/geo/regions.hpp"
#include "drift/distance_bounds.hpp"
#include "drift/obstacles.hpp"

namespace dangerline::drift {

namespace {

using hazard::Grade;

constexpr double never = -std::numeric_limits<double>::infinity();

/// The part of a step in which the tide is below (above) a level; shares.
std::optional<geo::Span> while_tide(const StepWater& w, double level_m, bool below) {
    const double from = w.tide_from_m, to = w.tide_to_m;
    const auto holds = [&](double h) { return below ? h < level_m : h > level_m; };
    if (holds(from) && holds(to))
        return geo::Span{0.0, 1.0};
    if (!holds(from) && !holds(to))
        return std::nullopt;
    const double share = std::clamp((level_m - from) / (to - from), 0.0, 1.0);
    return holds(from) ? geo::Span{0.0, share} : geo::Span{share, 1.0};
}

/// Of several at one instant the hazard with the lower number counts, and of its steps the outermost.
void keep_first(std::optional<Hit>& best, double share, std::uint32_t number,
                const std::vector<Obstacle>& all) {
    const auto rank = [&](std::uint32_t i) { return std::tuple(all[i].hazard, all[i].zone_below_m, i); };
    if (!best || share < best->share || (share == best->share && rank(number) < rank(best->obstacle)))
        best = Hit{share, number};
}

std::optional<double> first_within(const geo::Leg& leg, const geo::Shape& shape, double radius,
                                   geo::Span while_in_force) {
    const double length = leg.length();
    std::optional<double> best;
    for (const auto& span : geo::reach(leg, shape, radius)) {
        const double from = length > 0.0 ? span.from / length : 0.0;
        const double to = length > 0.0 ? span.to / length : 1.0;
        const double share = std::max(from, while_in_force.from);
        if (share <= std::min(to, while_in_force.to) && (!best || share < *best))
            best = share;
    }
    return best;
}

bool rough_now(const Obstacle& o, const StepWater& water) {
    return hazard::rough_water_grade(o.category, water.state) == Grade::danger;
}

/// One step of a boat against obstacles, one after the other.
class Tested {
  public:
    Tested(const std::vector<Obstacle>& all, geo::Point from, geo::Point to, const StepWater& water,
           bool zones)
        : all_(all), leg_{from, to}, water_(water), zones_(zones) {}

    void against(std::uint32_t number) { against(number, nullptr, false); }

    /// `edges`: those of the obstacle's lines and outlines that are near. They are enough where the obstacle
    /// is in force all the time, since the boat was in no zone before; what comes into force is asked whole.
    /// `zone_known`: a zone that holds this one was tested.
    void against(std::uint32_t number, const geo::Shape* edges, bool zone_known) {
        const Obstacle& o = all_[number];
        if (o.says == Obstacle::Says::rough && !rough_now(o, water_))
            return;
        const bool area = o.extent->kind() == geo::ShapeKind::area;
        const bool whole = !edges || (area && (o.says == Obstacle::Says::rough || o.above_m));
        if (zones_ && !zone_known)
            test(hits.zone, number, o.zone_m, o.above_m, o.zone_below_m, whole, edges);
        if (o.says != Obstacle::Says::rough)
            test(hits.touch, number, o.touch_m, o.above_m, o.touch_below_m, whole, edges);
    }
    /// Whether something in force below that tide is so during all of the step, however it is rounded.
    bool all_the_time(double below_m) const {
        return std::max(water_.tide_from_m, water_.tide_to_m) + same_tide_m < below_m;
    }
    /// Whether something in force below that tide is so at any time of the step.
    bool ever(double below_m) const {
        return std::min(water_.tide_from_m, water_.tide_to_m) - same_tide_m < below_m;
    }
    Hits hits;

  private:
    static constexpr double same_tide_m = 1e-6;

    void test(std::optional<Hit>& best, std::uint32_t number, double radius,
              const std::optional<double>& above_m, double below_m, bool whole,
              const geo::Shape* edges) const {
        const auto force = above_m ? while_tide(water_, *above_m, false) : while_tide(water_, below_m, true);
        if (!force || (best && best->share < force->from))
            return;
        const Obstacle& o = all_[number];
        const bool comes = o.extent->kind() == geo::ShapeKind::area && !all_the_time(below_m);
        const geo::Shape& shape = whole || comes ? *o.extent : *edges;
        if (const auto share = first_within(leg_, shape, radius, *force))
            keep_first(best, *share, number, all_);
    }
    const std::vector<Obstacle>& all_;
    geo::Leg leg_;
    const StepWater& water_;
    bool zones_;
};

/// Edges near a box, as a shape of lines; corners are those of the obstacle, bit for bit.
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
        bool open = false;
        for (std::uint32_t i = run.first; i < run.last; ++i) {
            const bool near = box_of(points[i], points[i + 1]).meets(box);
            if (near && !open)
                chains.push_back({points[i]});
            if (near)
                chains.back().push_back(points[i + 1]);
            open = near;
        }
    }
    return geo::Shape::of_lines(chains);
}

/// What is near a square of the box, made when it is first asked for.
struct Tile {
    struct Near {
        std::uint32_t obstacle = 0;
        double zone_below_m = 0.0, touch_below_m = 0.0;
        geo::Box box; ///< of its whole extent, grown to its zone
        geo::Shape edges;
    };
    /// Of one hazard (and one moving part of it), the outermost step first.
    struct Group {
        std::size_t begin = 0, end = 0;
        bool nested = false; ///< of a bank whose deeper steps hold its shoaler ones
    };
    std::once_flag made;
    std::vector<Near> near;
    std::vector<Group> groups;
};
constexpr double tile_m = 500.0, longest_step_m = 300.0;

/// Of nested steps only those count that the tide reaches, and of these what lies farther in than one that is
/// in force all the time is met later.
void against_bank(const Tile& tile, const Tile::Group& group, const geo::Box& box, bool zones,
                  Tested& tested) {
    const auto in_force_from = [&](std::size_t begin, double Tile::Near::*level) {
        while (begin < group.end && !tested.ever(tile.near[begin].*level))
            ++begin;
        return begin;
    };
    bool zone_known = !zones;
    std::size_t i =
        in_force_from(group.begin, zones ? &Tile::Near::zone_below_m : &Tile::Near::touch_below_m);
    for (; i < group.end; ++i) {
        const auto& near = tile.near[i];
        if (!box.meets(near.box))
            return; // nor does what lies within it
        tested.against(near.obstacle, &near.edges, zone_known);
        if (tested.all_the_time(near.touch_below_m))
            return;
        if (!zone_known && tested.all_the_time(near.zone_below_m)) {
            zone_known = true;
            i = in_force_from(i + 1, &Tile::Near::touch_below_m) - 1;
        }
    }
}

} // namespace

struct Dangers::Implementation {
    DangerSettings settings;
    std::vector<Obstacle> all;
    std::unique_ptr<geo::BoxIndex> index;
    TideRaster zones, touches;
    std::map<int, std::vector<std::int32_t>> bands;
    std::vector<bool> nested; // by obstacle
    mutable std::vector<Tile> tiles;
    std::size_t tile_columns = 0;
    bool any_rough = false;

    Implementation(const hazard::Hazards& hazards, const DangerSettings& given)
        : settings(given), all(obstacles_of(hazards, settings)), zones(given.box, cell_m),
          touches(given.box, cell_m) {
        std::vector<geo::Box> boxes;
        for (const auto& o : all)
            boxes.push_back(o.extent->box().grown(o.zone_m));
        index = std::make_unique<geo::BoxIndex>(boxes);
        // Steps that a surface was cut into lie within one another; of others nobody knows.
        for (const auto& o : all) {
            any_rough = any_rough || o.says == Obstacle::Says::rough;
            nested.push_back(hazards.all[o.hazard].surface != nullptr && !o.above_m &&
                             o.says == Obstacle::Says::danger);
        }
        const auto squares = [](double metres) { return static_cast<std::size_t>(metres / tile_m) + 1; };
        tile_columns = squares(given.box.max_x - given.box.min_x);
        tiles = std::vector<Tile>(tile_columns * squares(given.box.max_y - given.box.min_y));
        constexpr float any_tide = std::numeric_limits<float>::infinity();
        const auto level = [](double metres) { // rounded up: never too seldom in force
            return std::nextafter(static_cast<float>(metres), any_tide);
        };
        parallel_for(
            2,
            [&](std::size_t side) {
                for (const auto& o : all)
                    if (side == 0)
                        add_zone(o, o.above_m ? any_tide : level(o.zone_below_m));
                    else if (o.says != Obstacle::Says::rough)
                        touches.add(*o.extent, o.touch_m,
                                    o.above_m                  ? any_tide
                                    : o.touch_below_m == never ? -any_tide
                                                               : level(o.touch_below_m));
            },
            0, 1);
    }

    /// Each edge marks all cells within its radius: of wide zones only the outline is taken.
    void add_zone(const Obstacle& o, float below_m) {
        constexpr double wide_m = 1000.0;
        if (o.zone_m < wide_m)
            zones.add(*o.extent, o.zone_m, below_m);
        else
            zones.add(geo::to_shape(geo::grown(*o.extent, o.zone_m)), 0.0, below_m);
    }
    /// Null outside the box.
    const Tile* tile_at(geo::Point place) const {
        const double x = (place.x - settings.box.min_x) / tile_m, y = (place.y - settings.box.min_y) / tile_m;
        if (!(x >= 0.0 && y >= 0.0) || x >= static_cast<double>(tile_columns))
            return nullptr;
        const auto column = static_cast<std::size_t>(x), row = static_cast<std::size_t>(y);
        if (row * tile_columns + column >= tiles.size())
            return nullptr;
        Tile& tile = tiles[row * tile_columns + column];
        std::call_once(tile.made, [&] { make(tile, column, row); });
        return &tile;
    }
    void make(Tile& tile, std::size_t column, std::size_t row) const {
        const double x = settings.box.min_x + tile_m * static_cast<double>(column);
        const double y = settings.box.min_y + tile_m * static_cast<double>(row);
        const geo::Box reached = geo::Box{x, y, x + tile_m, y + tile_m}.grown(longest_step_m + 1.0);
        for (const auto i : index->meeting(reached)) {
            auto edges = edges_near(*all[i].extent, reached.grown(all[i].zone_m));
            // An area all round has no edge near, but may come into force.
            if (!edges.empty() || all[i].extent->kind() == geo::ShapeKind::area)
                tile.near.push_back({i, all[i].zone_below_m, all[i].touch_below_m,
                                     all[i].extent->box().grown(all[i].zone_m), std::move(edges)});
        }
        const auto hazard = [&](const Tile::Near& n) {
            return std::pair(all[n.obstacle].hazard, all[n.obstacle].moving);
        };
        std::stable_sort(tile.near.begin(), tile.near.end(), [&](const Tile::Near& a, const Tile::Near& b) {
            return std::pair(hazard(a), a.zone_below_m) < std::pair(hazard(b), b.zone_below_m);
        });
        for (std::size_t i = 0; i < tile.near.size(); ++i) {
            if (i == 0 || hazard(tile.near[i]) != hazard(tile.near[i - 1]))
                tile.groups.push_back({i, i, true});
            tile.groups.back().end = i + 1;
            tile.groups.back().nested = tile.groups.back().nested && nested[tile.near[i].obstacle];
        }
    }
    static int band_of(double tide_m) { return static_cast<int>(std::floor(tide_m / band_m)); }
};

Dangers::Dangers(const hazard::Hazards& hazards, const DangerSettings& settings)
    : self_(std::make_unique<Implementation>(hazards, settings)) {}
Dangers::~Dangers() = default;
Dangers::Dangers(Dangers&&) noexcept = default;
Dangers& Dangers::operator=(Dangers&&) noexcept = default;

const std::vector<Obstacle>& Dangers::all() const {
    return self_->all;
}
const DangerSettings& Dangers::settings() const {
    return self_->settings;
}
bool Dangers::any_rough() const {
    return self_->any_rough;
}
std::int32_t Dangers::columns() const {
    return self_->zones.columns();
}
std::int32_t Dangers::rows() const {
    return self_->zones.rows();
}

Hits Dangers::first(geo::Point from, geo::Point to, const StepWater& water, bool zones) const {
    const geo::Box box{std::min(from.x, to.x), std::min(from.y, to.y), std::max(from.x, to.x),
                       std::max(from.y, to.y)};
    Tested tested(self_->all, from, to, water, zones);
    const bool short_step =
        box.max_x - box.min_x <= longest_step_m && box.max_y - box.min_y <= longest_step_m;
    const Tile* const tile = short_step && !(from == to) ? self_->tile_at(from) : nullptr;
    if (!tile) {
        for (const auto i : self_->index->meeting(box))
            tested.against(i);
        return tested.hits;
    }
    for (const auto& group : tile->groups)
        if (group.nested)
            against_bank(*tile, group, box, zones, tested);
        else
            for (std::size_t i = group.begin; i < group.end; ++i)
                if (box.meets(tile->near[i].box))
                    tested.against(tile->near[i].obstacle, &tile->near[i].edges, false);
    return tested.hits;
}

Hits Dangers::first_by_all(geo::Point from, geo::Point to, const StepWater& water, bool zones) const {
    Tested tested(self_->all, from, to, water, zones);
    for (std::uint32_t i = 0; i < self_->all.size(); ++i)
        tested.against(i);
    return tested.hits;
}

double Dangers::nearest_zone(geo::Point place, double tide_m) const {
    double best = std::numeric_limits<double>::infinity();
    for (const auto& o : self_->all)
        if (o.above_m || tide_m < o.zone_below_m)
            best = std::min(best, std::max(0.0, o.extent->distance(place) - o.zone_m));
    return best;
}

void Dangers::prepare(double lowest_m, double highest_m) {
    std::vector<int> missing;
    for (int band = Implementation::band_of(lowest_m); band <= Implementation::band_of(highest_m); ++band)
        if (!self_->bands.contains(band))
            missing.push_back(band);
    std::vector<std::vector<std::int32_t>> made(missing.size());
    parallel_for(
        missing.size(),
        [&](std::size_t i) {
            const auto tide = static_cast<float>(missing[i] * band_m);
            const auto zone = self_->zones.bounds(tide), touch = self_->touches.bounds(tide);
            made[i].resize(zone.size());
            for (std::size_t cell = 0; cell < zone.size(); ++cell)
                made[i][cell] = static_cast<std::int32_t>((static_cast<std::uint32_t>(touch[cell]) << 16) |
                                                          static_cast<std::uint32_t>(zone[cell]));
        },
        0, 1);
    for (std::size_t i = 0; i < missing.size(); ++i)
        self_->bands.emplace(missing[i], std::move(made[i]));
}

const std::vector<std::int32_t>& Dangers::bounds_at(double tide_m) const {
    return self_->bands.at(Implementation::band_of(tide_m));
}

} // namespace dangerline::drift
