#include "dangerline/drift/dangers.hpp"

#include <algorithm>
#include <cmath>

#include "dangerline/base/parallel.hpp"
#include "drift/distance_bounds.hpp"

namespace dangerline::drift {

namespace {

using hazard::Cause;
using hazard::Grade;
using hazard::Hazard;
using hazard::InForce;
using hazard::Kind;
using hazard::Step;

constexpr double always = std::numeric_limits<double>::infinity();
constexpr double never = -always;

bool matters(Kind kind) {
    return kind != Kind::regulated && kind != Kind::survey;
}

/// An object whose depth nobody knows, beside the step for the depth that is assumed of it.
bool depth_not_known(const Hazard& h, const Step& step) {
    return !h.between && step.in_force == InForce::always && step.cause == Cause::assumed &&
           std::any_of(h.steps.begin(), h.steps.end(),
                       [](const Step& s) { return s.in_force == InForce::below; });
}

class Maker {
  public:
    Maker(const hazard::Hazards& hazards, const DangerSettings& settings) : settings_(settings) {
        for (std::size_t i = 0; i < hazards.all.size(); ++i) {
            const Hazard& h = hazards.all[i];
            if (!matters(h.kind))
                continue;
            for (std::size_t k = 0; k < h.steps.size(); ++k)
                take(h, i, k);
        }
    }
    std::vector<Obstacle> out;

  private:
    void take(const Hazard& h, std::size_t number, std::size_t k) {
        const Step& step = h.steps[k];
        Obstacle o;
        o.hazard = number;
        o.step = k;
        o.extent = step.extent;
        o.touch_m = settings_.half_length_m;
        o.zone_m = std::max(h.allowance.position_m, o.touch_m);
        if (!o.extent || !settings_.box.meets(o.extent->box().grown(o.zone_m)))
            return;
        const bool take_it = step.decides == Grade::unknown   ? as_unknown(o)
                             : step.decides == Grade::danger  ? as_danger(o, h, step)
                             : step.decides == Grade::caution ? as_doubtful(o, h, step)
                                                              : false;
        if (take_it)
            out.push_back(std::move(o));
    }
    bool as_unknown(Obstacle& o) const {
        o.says = Obstacle::Says::unknown;
        o.touch_below_m = always;
        return true;
    }
    bool as_doubtful(Obstacle& o, const Hazard& h, const Step& step) const {
        // An object of a coarser chart or an old note: doubtful, but there may be a rock all the same.
        const bool doubtful = !h.between && step.in_force == InForce::below && step.cause == Cause::survey;
        return (doubtful || depth_not_known(h, step)) && as_below(o, h, step);
    }
    bool as_danger(Obstacle& o, const Hazard& h, const Step& step) const {
        switch (step.in_force) {
        case InForce::below:
            return as_below(o, h, step);
        case InForce::always:
            o.touch_below_m = always;
            return true;
        case InForce::by_stream:
            o.says = Obstacle::Says::rough;
            o.category = h.category;
            return true;
        case InForce::above: {
            const auto below = settings_.below_reference(h.datum);
            if (!settings_.air_height_m || !below)
                return as_unknown(o);
            o.above_m = step.clearance_m - *settings_.air_height_m - *below;
            o.touch_below_m = never;
            return true;
        }
        }
        return false;
    }
    bool as_below(Obstacle& o, const Hazard& h, const Step& step) const {
        if (step.in_force == InForce::always) // its depth may be anything
            return true;
        if (!std::isfinite(step.depth.metres())) {
            o.touch_below_m = always;
            return true;
        }
        const auto below = settings_.below_reference(h.datum);
        if (!below)
            return as_unknown(o);
        o.zone_below_m = critical_tide(settings_.required, step.depth).metres() - *below;
        o.touch_below_m =
            std::min(o.zone_below_m, critical_tide(settings_.touching, step.depth).metres() - *below);
        return true;
    }
    const DangerSettings& settings_;
};

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

void keep_first(std::optional<Hit>& best, double share, std::uint32_t obstacle) {
    if (!best || share < best->share || (share == best->share && obstacle < best->obstacle))
        best = Hit{share, obstacle};
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

void test(const Obstacle& o, std::uint32_t number, const geo::Leg& leg, const StepWater& water, Hits& hits) {
    if (o.says == Obstacle::Says::rough && !rough_now(o, water))
        return;
    const auto zone =
        o.above_m ? while_tide(water, *o.above_m, false) : while_tide(water, o.zone_below_m, true);
    if (zone && !(hits.zone && hits.zone->share < zone->from))
        if (const auto share = first_within(leg, *o.extent, o.zone_m, *zone))
            keep_first(hits.zone, *share, number);
    if (o.says == Obstacle::Says::rough)
        return;
    const auto touch = o.above_m ? zone : while_tide(water, o.touch_below_m, true);
    if (touch && !(hits.touch && hits.touch->share < touch->from))
        if (const auto share = first_within(leg, *o.extent, o.touch_m, *touch))
            keep_first(hits.touch, *share, number);
}

} // namespace

struct Dangers::Implementation {
    DangerSettings settings;
    std::vector<Obstacle> all;
    std::unique_ptr<geo::BoxIndex> index;
    TideRaster zones, touches;
    std::map<int, std::vector<std::int32_t>> bands;

    Implementation(const hazard::Hazards& hazards, const DangerSettings& given)
        : settings(given), all(Maker(hazards, settings).out), zones(given.box, cell_m),
          touches(given.box, cell_m) {
        std::vector<geo::Box> boxes;
        for (const auto& o : all)
            boxes.push_back(o.extent->box().grown(o.zone_m));
        index = std::make_unique<geo::BoxIndex>(boxes);
        constexpr float any_tide = std::numeric_limits<float>::infinity();
        const auto level = [](double metres) { // rounded up: never too seldom in force
            return std::nextafter(static_cast<float>(metres), any_tide);
        };
        parallel_for(2, [&](std::size_t side) {
            for (const auto& o : all)
                if (side == 0)
                    zones.add(*o.extent, o.zone_m, o.above_m ? any_tide : level(o.zone_below_m));
                else if (o.says != Obstacle::Says::rough)
                    touches.add(*o.extent, o.touch_m,
                                o.above_m                  ? any_tide
                                : o.touch_below_m == never ? -any_tide
                                                           : level(o.touch_below_m));
        });
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
std::int32_t Dangers::columns() const {
    return self_->zones.columns();
}
std::int32_t Dangers::rows() const {
    return self_->zones.rows();
}

Hits Dangers::first(geo::Point from, geo::Point to, const StepWater& water) const {
    const geo::Box box{std::min(from.x, to.x), std::min(from.y, to.y), std::max(from.x, to.x),
                       std::max(from.y, to.y)};
    Hits hits;
    const geo::Leg leg{from, to};
    for (const auto i : self_->index->meeting(box))
        test(self_->all[i], i, leg, water, hits);
    return hits;
}

Hits Dangers::first_by_all(geo::Point from, geo::Point to, const StepWater& water) const {
    Hits hits;
    for (std::uint32_t i = 0; i < self_->all.size(); ++i)
        test(self_->all[i], i, {from, to}, water, hits);
    return hits;
}

double Dangers::nearest_zone(geo::Point place, double tide_m) const {
    double best = std::numeric_limits<double>::infinity();
    for (const auto& o : self_->all)
        if (o.above_m ? tide_m > *o.above_m : tide_m < o.zone_below_m)
            best = std::min(best, std::max(0.0, o.extent->distance(place) - o.zone_m));
    return best;
}

void Dangers::prepare(double lowest_m, double highest_m) {
    std::vector<int> missing;
    for (int band = Implementation::band_of(lowest_m); band <= Implementation::band_of(highest_m); ++band)
        if (!self_->bands.contains(band))
            missing.push_back(band);
    std::vector<std::vector<std::int32_t>> made(missing.size());
    parallel_for(missing.size(), [&](std::size_t i) {
        const auto tide = static_cast<float>(missing[i] * band_m);
        const auto zone = self_->zones.bounds(tide), touch = self_->touches.bounds(tide);
        made[i].resize(zone.size());
        for (std::size_t cell = 0; cell < zone.size(); ++cell)
            made[i][cell] = static_cast<std::int32_t>((static_cast<std::uint32_t>(touch[cell]) << 16) |
                                                      static_cast<std::uint32_t>(zone[cell]));
    });
    for (std::size_t i = 0; i < missing.size(); ++i)
        self_->bands.emplace(missing[i], std::move(made[i]));
}

const std::vector<std::int32_t>& Dangers::bounds_at(double tide_m) const {
    return self_->bands.at(Implementation::band_of(tide_m));
}

} // namespace dangerline::drift
