#include "dangerline/drift/dangers.hpp"

#include <algorithm>
#include <atomic>
#include <cmath>
#include <tuple>

#include "dangerline/base/parallel.hpp"
#include "dangerline/geo/regions.hpp"
#include "drift/distance_bounds.hpp"
#include "drift/obstacles.hpp"
#include "drift/tiles.hpp"

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

geo::Box box_of(geo::Point a, geo::Point b) {
    return {std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)};
}

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
        tested.against(near.obstacle, &tile.edges[i], zone_known);
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
    std::map<int, DistanceBounds> bands;
    std::unique_ptr<Tiles> tiles;
    double highest_m = -std::numeric_limits<double>::infinity(); // tide prepared for
    bool any_rough = false;

    Implementation(const hazard::Hazards& hazards, const DangerSettings& given)
        : settings(given), all(obstacles_of(hazards, settings)), zones(given.box, cell_m),
          touches(given.box, cell_m) {
        std::vector<geo::Box> boxes;
        for (const auto& o : all)
            boxes.push_back(o.extent->box().grown(o.zone_m));
        index = std::make_unique<geo::BoxIndex>(boxes);
        // Steps that a surface was cut into lie within one another; of others nobody knows.
        std::vector<bool> nested;
        for (const auto& o : all) {
            any_rough = any_rough || o.says == Obstacle::Says::rough;
            nested.push_back(hazards.all[o.hazard].surface != nullptr && !o.above_m &&
                             o.says == Obstacle::Says::danger);
        }
        tiles = std::make_unique<Tiles>(all, *index, std::move(nested), given.box);
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
    const geo::Box box = box_of(from, to);
    Tested tested(self_->all, from, to, water, zones);
    const Tile* const tile = from == to ? nullptr : self_->tiles->of_step(from, box);
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
                    tested.against(tile->near[i].obstacle, &tile->edges[i], false);
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
    self_->highest_m = std::max(self_->highest_m, highest_m);
    std::vector<int> missing;
    for (int band = Implementation::band_of(lowest_m); band <= Implementation::band_of(highest_m); ++band)
        if (!self_->bands.contains(band))
            missing.push_back(band);
    std::vector<DistanceBounds> made(missing.size());
    parallel_for(
        missing.size(),
        [&](std::size_t i) {
            made[i] = distance_bounds(self_->zones, self_->touches, static_cast<float>(missing[i] * band_m));
        },
        0, 1);
    for (std::size_t i = 0; i < missing.size(); ++i)
        self_->bands.emplace(missing[i], std::move(made[i]));
}

const DistanceBounds& Dangers::bounds_at(double tide_m) const {
    return self_->bands.at(Implementation::band_of(tide_m));
}

bool Dangers::any_near(const DistanceBounds& bounds, geo::Point from, geo::Point to, bool zones) const {
    return from == to ||
           self_->tiles->any_near(from, box_of(from, to), bounds.tide_m, self_->highest_m, zones);
}

bool Dangers::reached(const DistanceBounds& bounds, geo::Point place, bool zones) const {
    const auto column = static_cast<std::int32_t>((place.x - settings().box.min_x) / cell_m);
    const auto row = static_cast<std::int32_t>((place.y - settings().box.min_y) / cell_m);
    if (place.x < settings().box.min_x || place.y < settings().box.min_y || column >= bounds.columns ||
        row >= bounds.rows)
        return false;
    // From the middle of a cell into which nothing reaches it is half a cell at least.
    const std::atomic_ref<std::uint8_t> byte(
        (zones ? bounds.zones() : bounds.touches())[bounds.index(column, row)]);
    return DistanceBounds::unit_m * byte.load(std::memory_order_relaxed) + DistanceBounds::least_m <
           cell_m / 4;
}

std::optional<double> Dangers::measure(const DistanceBounds& bounds, geo::Point place, bool zones) const {
    const geo::Point corner{settings().box.min_x, settings().box.min_y};
    const auto column = static_cast<std::int32_t>((place.x - corner.x) / cell_m);
    const auto row = static_cast<std::int32_t>((place.y - corner.y) / cell_m);
    if (!(place.x >= corner.x && place.y >= corner.y) || column >= bounds.columns || row >= bounds.rows)
        return std::nullopt;
    const std::atomic_ref<std::uint8_t> byte(
        (zones ? bounds.zones() : bounds.touches())[bounds.index(column, row)]);
    const int before = byte.load(std::memory_order_relaxed);
    if (before % 2 != 0)
        return std::nullopt;
    const geo::Point middle{corner.x + (column + 0.5) * cell_m, corner.y + (row + 0.5) * cell_m};
    const double free = self_->tiles->free_m(middle, bounds.tide_m, self_->highest_m, zones);
    const int steps = static_cast<int>(free) / (2 * DistanceBounds::unit_m); // rounded down
    const int now = std::max(2 * steps + 1, before - 1);
    byte.store(static_cast<std::uint8_t>(now), std::memory_order_relaxed);
    return DistanceBounds::unit_m * now + DistanceBounds::least_m -
           std::hypot(place.x - middle.x, place.y - middle.y);
}

} // namespace dangerline::drift
