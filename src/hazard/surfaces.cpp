#include "hazard/surfaces.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <tuple>

#include "dangerline/base/parallel.hpp"
#include "dangerline/geo/regions.hpp"
#include "hazard/datums.hpp"

namespace dangerline::hazard {

namespace {

using chart::Cell;
using chart::Feature;
using geo::Shape;

constexpr double seam_m = 1.0;

bool laid_as_one(const Cell& a, const Cell& b) {
    return !a.withdrawn && !b.withdrawn && !a.notes && !b.notes && a.header.cscl > 0 &&
           a.header.cscl == b.header.cscl && a.header.sdat == b.header.sdat;
}

/// Cells that meet, directly or over others between them; each cell in one group.
std::vector<std::vector<std::size_t>> groups_of(const std::vector<Cell>& cells,
                                                const std::vector<Shape>& covers) {
    std::vector<std::size_t> group(cells.size());
    std::iota(group.begin(), group.end(), 0U);
    for (std::size_t i = 0; i < cells.size(); ++i)
        for (std::size_t k = 0; k < i; ++k)
            if (!covers[i].empty() && !covers[k].empty() && laid_as_one(cells[i], cells[k]) &&
                covers[i].box().grown(seam_m).meets(covers[k].box()))
                std::replace(group.begin(), group.end(), group[i], group[k]);
    std::map<std::size_t, std::vector<std::size_t>> by_group;
    for (std::size_t i = 0; i < cells.size(); ++i)
        by_group[group[i]].push_back(i);
    std::vector<std::vector<std::size_t>> out;
    for (auto& [number, members] : by_group)
        out.push_back(std::move(members));
    return out;
}

/// What a surface is made of, without places in longitude and latitude.
Feature light(const Feature& f) {
    Feature out;
    out.cls = f.cls;
    out.id = f.id;
    out.attributes = f.attributes;
    out.geometry.primitive = f.geometry.primitive;
    out.geometry.depths_m = f.geometry.depths_m;
    out.shape = f.shape;
    out.broken_geometry = f.broken_geometry;
    return out;
}

std::shared_ptr<const Shape> together(const Shape& a, const Shape& b) {
    auto united = geo::united({&a, &b});
    // Where the parts were cut at different places, slits remain that exist in the plane only.
    for (auto& polygon : united)
        for (std::size_t i = polygon.size(); i-- > 1;) {
            double around_m = 0.0;
            for (std::size_t k = 1; k < polygon[i].size(); ++k)
                around_m +=
                    std::hypot(polygon[i][k].x - polygon[i][k - 1].x, polygon[i][k].y - polygon[i][k - 1].y);
            if (2.0 * geo::area_of({{polygon[i]}}) < seam_m * around_m)
                polygon.erase(polygon.begin() + static_cast<std::ptrdiff_t>(i));
        }
    return std::make_shared<const Shape>(geo::to_shape(united));
}

/// One cell out of several: parts of one area joined. Tells for each depth area which feature holds it.
Cell merged(const std::vector<Cell>& cells, const std::vector<std::size_t>& group,
            std::map<const Feature*, std::size_t>& held_by) {
    Cell out;
    out.header = cells[group.front()].header;
    using Key = std::tuple<std::string, std::string, std::string, std::string>;
    std::map<Key, std::pair<std::size_t, std::size_t>> known; // number of the feature, last cell with a part
    for (const std::size_t c : group)
        for (const auto& f : cells[c].features) {
            const bool area = chart::is_group_one(f.cls);
            if (!f.shape || f.shape->empty() || (!area && f.cls != "SOUNDG" && f.cls != "DEPCNT"))
                continue;
            std::size_t number = out.features.size();
            const Key key{f.cls, to_text(f.id), f.attributes.text("DRVAL1"), f.attributes.text("DRVAL2")};
            const auto same = known.find(key);
            if (area && f.id.agen != 0 && same != known.end() && same->second.second != c) {
                number = same->second.first;
                auto& whole = out.features[number];
                whole.shape = together(*whole.shape, *f.shape);
                whole.broken_geometry = true; // as far as anybody has looked
                same->second.second = c;
            } else {
                out.features.push_back(light(f));
                known.emplace(key, std::pair(number, c));
            }
            held_by[&f] = number;
        }
    return out;
}

} // namespace

Surfaces::Surfaces(const std::vector<Cell>& cells, const std::vector<survey::QualityZones>& zones,
                   const std::vector<geo::Box>& near, const std::optional<Levels>& levels,
                   Diagnostics& diagnostics, const std::vector<survey::DrawnMoving>& drawn)
    : cells_(cells), zones_(zones), levels_(levels) {
    for (const auto& moving : drawn)
        drawn_.push_back(moving.where);
    for (const auto& cell : cells) {
        covers_.push_back(geo::to_shape(cell.coverage));
        auto& moving = moving_.emplace_back();
        for (const auto& f : cell.features)
            if (f.cls == "SNDWAV" && f.shape)
                moving.push_back(&f);
    }
    for (auto& group : groups_of(cells, covers_))
        lay(std::move(group), near, diagnostics);
}

bool Surfaces::is_wanted(const Feature& area) const {
    const auto range = seabed::range_of(area);
    return range &&
           (!levels_ || (range->deepest_m * 10.0 > levels_->from && range->shoalest_m * 10.0 <= levels_->to));
}

void Surfaces::lay(Cells group, const std::vector<geo::Box>& near, Diagnostics& diagnostics) {
    std::map<const Feature*, std::size_t> held_by;
    const bool several = group.size() > 1;
    const Cell joined = several ? merged(cells_, group, held_by) : Cell();
    const Cell& cell = several ? joined : cells_[group.front()];
    const auto whole_of = [&](const Feature& f) { return several ? &cell.features[held_by.at(&f)] : &f; };
    std::vector<const Feature*> wanted, parts;
    for (const std::size_t c : group) {
        const Datums datums(cells_[c], "M_SDAT", cells_[c].header.sdat);
        for (const auto& f : cells_[c].features) {
            if (!is_wanted(f) || !f.shape || f.shape->empty())
                continue;
            if (datums.changes_beside(f)) {
                diagnostics.push_back({Severity::note, cells_[c].file, f.cls + " " + to_text(f.id),
                                       "the datum of depths changes in it or along its edge; no surface is "
                                       "laid, its shoalest and deepest depths count"});
                continue;
            }
            parts.push_back(&f);
            if (std::find(wanted.begin(), wanted.end(), whole_of(f)) == wanted.end())
                wanted.push_back(whole_of(f));
        }
    }
    const auto made = seabed::Window(cell, near).make(wanted);
    std::map<const Feature*, Laid> by_whole;
    std::vector<std::shared_ptr<const SurfaceSteps>> steps(wanted.size());
    std::vector<std::size_t> order; // the largest first, or one would be waited for at the end
    for (std::size_t i = 0; i < wanted.size(); ++i)
        if (made[i].surface && levels_)
            order.push_back(i);
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return made[a].surface->triangle_count() > made[b].surface->triangle_count();
    });
    parallel_for(
        order.size(), [&](std::size_t k) { steps[order[k]] = steps_of(made[order[k]], group); }, 0, 1);
    for (std::size_t i = 0; i < wanted.size(); ++i) {
        if (!made[i].why_not.empty())
            diagnostics.push_back({Severity::note, cells_[group.front()].file,
                                   wanted[i]->cls + " " + to_text(wanted[i]->id), made[i].why_not});
        if (made[i].surface)
            by_whole[wanted[i]] = {made[i].surface, steps[i]};
    }
    for (const Feature* part : parts)
        if (const auto found = by_whole.find(whole_of(*part)); found != by_whole.end())
            laid_.emplace(part, found->second);
}

std::shared_ptr<const seabed::Surface> Surfaces::of(const Feature& area) const {
    const auto found = laid_.find(&area);
    return found == laid_.end() ? nullptr : found->second.surface;
}

bool Surfaces::poorly_surveyed(geo::Point place, const Cells& cells) const {
    bool surveyed = false;
    if (std::any_of(drawn_.begin(), drawn_.end(), [&](const auto& s) { return s->contains(place); }))
        return true;
    for (const std::size_t c : cells) {
        const bool moving = std::any_of(moving_[c].begin(), moving_[c].end(),
                                        [&](const Feature* f) { return f->shape->distance(place) <= 0.0; });
        if (moving)
            return true;
        if (cells.size() > 1 && !covers_[c].contains(place))
            continue;
        const int catzoc = zones_[c].catzoc_at(place);
        if (catzoc < 1 || catzoc > 3)
            return true;
        surveyed = true;
    }
    return !surveyed;
}

std::shared_ptr<const SurfaceSteps> Surfaces::steps_of(const seabed::MadeSurface& made,
                                                       const Cells& cells) const {
    constexpr double dense_at_scale_m = 0.010; // an assumption of this project
    const double scale = cells_[cells.front()].header.cscl;
    const auto poor = [&](geo::Point p) { return poorly_surveyed(p, cells); };
    return std::make_shared<const SurfaceSteps>(surface_steps(
        {*made.surface, made.beyond, levels_->from, levels_->to, dense_at_scale_m * scale, poor}));
}

std::vector<Step> Surfaces::put_into(std::vector<Step> steps, const Feature& area) const {
    const auto found = laid_.find(&area);
    return found == laid_.end() || !found->second.steps
               ? steps
               : with_surface(std::move(steps), *found->second.steps);
}

} // namespace dangerline::hazard
