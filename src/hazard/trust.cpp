#include "hazard/trust.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "dangerline/base/parallel.hpp"
#include "dangerline/geo/cut.hpp"
#include "dangerline/survey/trust.hpp"
#include "hazard/steps.hpp"

namespace dangerline::hazard {

namespace {

using survey::MovingArea;
using survey::Trust;

void widen_all(Hazards& hazards, const Trust& trust) {
    parallel_for(hazards.all.size(), [&](std::size_t i) {
        Hazard& h = hazards.all[i];
        if (h.object.lnam.empty() || h.kind == Kind::regulated)
            return; // gaps have what may stand for anything; rules depend on no survey
        const auto& front = h.steps.front();
        trust.widen(h.allowance, *front.extent, h.facts, h.cell, front.depth.metres());
    });
    for (auto& zone : hazards.zones)
        zone.counts_as = survey::figures_for(zone.catzoc, zone.facts, trust.settings());
}

/// The shoal end of what a depth area may hold; never_covered() where nobody states it.
Depth shoalest(const Hazard& h) {
    if (h.surface)
        return Depth::from_metres(h.surface->shoalest());
    Depth least = h.steps.front().depth;
    for (const auto& step : h.steps)
        least = std::min(least, step.depth);
    return least;
}

Step moving_step(const Hazard& h, std::shared_ptr<const geo::Shape> part, double moved_m) {
    Step s;
    s.decides = Grade::caution;
    s.cause = Cause::survey;
    s.depth = shoalest(h);
    s.depth_known = false;
    s.extent = std::move(part);
    s.moved_m = moved_m;
    s.basis = fmt::format("the bottom moves, by {:.0f} m perhaps since it was surveyed", moved_m);
    return s;
}

void move_bottom(Hazards& hazards, const Trust& trust, const MovingArea& area) {
    if (area.metres_per_year <= 0.0)
        return;
    const double farthest_m = survey::farthest_m(area);
    const geo::Cutter cutter(geo::polygons_of(*area.where));
    for (auto& h : hazards.all) {
        if (!h.between || !h.box.meets(area.where->box()))
            continue;
        const auto& extent = h.steps.front().extent;
        if (extent->kind() == geo::ShapeKind::points) {
            if (!cutter.contains(extent->points().front()))
                continue;
            const double moved = std::min(farthest_m, trust.moved_m(area, *extent, h.facts, h.cell));
            for (auto& step : h.steps)
                step.moved_m = std::max(step.moved_m, moved);
        } else if (auto part = cutter.cut(extent).inside) {
            const double moved = std::min(farthest_m, trust.moved_m(area, *part, h.facts, h.cell));
            if (moved > 0.0)
                h.steps.push_back(moving_step(h, std::move(part), moved));
        }
    }
}

/// An area nobody can say anything of, whatever the tide.
Hazard unknown_area(const MovingArea& area, std::shared_ptr<const geo::Shape> where, std::string what,
                    std::string basis) {
    Hazard h;
    h.kind = Kind::survey;
    h.object = {area.lnam, area.cls, area.name, area.cell};
    h.what = std::move(what);
    h.box = where->box();
    h.steps.push_back(unknown_step(std::move(where), std::move(basis)));
    h.allowance = survey::allowance_for(
        {.scale = 1, .quapos = {}, .posacc_m = {}, .souacc_m = {}, .catzoc = 0, .depth_m = 0.0});
    return h;
}

void add_bars(Hazards& hazards, const Trust& trust) {
    for (const auto& old : trust.old_bars()) {
        hazards.all.push_back(unknown_area(*old.bar, old.bar->where, "ask who crossed it last: bar",
                                           survey::ago_words(old.age)));
        hazards.all.back().old_bar = true;
    }
}

void add_channels(Hazards& hazards, const Trust& trust) {
    for (const auto& moved : trust.moved_channels())
        hazards.all.push_back(unknown_area(
            *moved.channel, moved.where, "channel over a moving bottom",
            fmt::format("it may have moved by {:.0f} m since its survey, more than half its width",
                        moved.moved_m)));
}

} // namespace

void apply_trust(Hazards& hazards, const std::vector<chart::Cell>& cells,
                 const std::vector<survey::QualityZones>& zones, const BuildSettings& settings) {
    const Trust trust(cells, zones, *settings.trust, settings.moving);
    widen_all(hazards, trust);
    for (const auto& area : trust.moving())
        move_bottom(hazards, trust, area);
    add_bars(hazards, trust);
    add_channels(hazards, trust);
}

} // namespace dangerline::hazard
