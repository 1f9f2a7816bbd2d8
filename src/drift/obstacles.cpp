#include "drift/obstacles.hpp"

#include <algorithm>
#include <cmath>

#include "dangerline/hazard/moved.hpp"

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
    return kind != Kind::regulated;
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
            if (const double moved = moved_m(h);
                moved > 0.0 && settings_.box.meets(h.box.grown(h.allowance.position_m + moved)))
                for (auto& step : moved_steps(h))
                    take_moved(h, i, std::move(step));
        }
    }
    std::vector<Obstacle> out;

  private:
    /// Part of a step where it may lie by now: its zone alone.
    void take_moved(const Hazard& h, std::size_t number, hazard::MovedStep moved) {
        Obstacle o;
        o.hazard = number;
        o.step = moved.step;
        o.moving = moved.part;
        o.extent = std::move(moved.extent);
        o.moved_m = moved.moved_m;
        o.zone_m = h.allowance.position_m + o.moved_m;
        if (!as_danger(o, h, h.steps[moved.step]) || o.says != Obstacle::Says::danger)
            return;
        o.touch_below_m = never;
        out.push_back(std::move(o));
    }
    void take(const Hazard& h, std::size_t number, std::size_t k) {
        const Step& step = h.steps[k];
        Obstacle o;
        o.hazard = number;
        o.step = k;
        o.extent = step.extent;
        o.touch_m = settings_.half_length_m;
        o.moved_m = step.decides == Grade::danger ? step.moved_m : 0.0;
        o.zone_m = std::max(h.allowance.position_m + o.moved_m, o.touch_m);
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
            if (!settings_.air_height_m || !below || settings_.tide_is_lowest)
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
        o.touch_below_m = critical_tide(settings_.touching, step.depth).metres() - *below;
        o.zone_below_m =
            std::max(o.touch_below_m, critical_tide(settings_.required, step.depth).metres() - *below);
        return true;
    }
    const DangerSettings& settings_;
};

} // namespace

std::vector<Obstacle> obstacles_of(const hazard::Hazards& hazards, const DangerSettings& settings) {
    return Maker(hazards, settings).out;
}

} // namespace dangerline::drift
