#include "dangerline/hazard/build.hpp"

#include "dangerline/chart/precedence.hpp"
#include "dangerline/hazard/join.hpp"
#include "dangerline/hazard/precedence.hpp"
#include "hazard/cell_hazards.hpp"
#include "hazard/surfaces.hpp"
#include "hazard/trust.hpp"
#include "hazard/uncovered.hpp"

#include <algorithm>
#include <iterator>
#include <map>

#include <fmt/format.h>

namespace dangerline::hazard {

namespace {

using chart::Cell;

Hazard too_small(const chart::TooSmall& place, const std::vector<Cell>& cells) {
    Hazard h;
    h.kind = Kind::survey;
    h.object.cell = cells[place.cell].name;
    h.what = "chart too small in scale here";
    h.cell = place.cell;
    Step s;
    s.in_force = InForce::always;
    s.decides = Grade::caution;
    s.cause = Cause::survey;
    s.extent = place.where;
    s.basis = cells[place.cell].header.cscl > 0
                  ? fmt::format("1:{} within 3 NM of land shows too little for a small boat",
                                cells[place.cell].header.cscl)
                  : std::string("a chart of unstated scale within 3 NM of land");
    h.steps.push_back(std::move(s));
    h.box = box_of(h.steps);
    return h;
}

/// One for all cells of a scale: where the line between them runs changes nothing.
void add_too_small(const std::vector<chart::TooSmall>& places, const std::vector<Cell>& cells,
                   std::vector<Hazard>& out) {
    std::map<std::uint32_t, std::vector<const chart::TooSmall*>> by_scale;
    for (const auto& place : places)
        by_scale[cells[place.cell].header.cscl].push_back(&place);
    for (const auto& [scale, all] : by_scale) {
        chart::TooSmall whole = *all.front();
        std::vector<const geo::Shape*> shapes;
        for (const auto* place : all)
            shapes.push_back(place->where.get());
        if (shapes.size() > 1)
            whole.where = std::make_shared<const geo::Shape>(geo::to_shape(geo::united(shapes)));
        out.push_back(too_small(whole, cells));
    }
}

} // namespace

Hazards build(const std::vector<Cell>& cells, Diagnostics& diagnostics, const BuildSettings& settings) {
    Hazards out;
    std::vector<Hazard> under;
    auto quality = std::make_shared<std::vector<survey::QualityZones>>();
    for (const auto& cell : cells)
        quality->emplace_back(cell);
    const auto& zones = *quality;
    std::optional<Surfaces> surfaces;
    if (settings.bottom)
        surfaces.emplace(cells, zones, settings.bottom->near,
                         Surfaces::Levels{settings.bottom->from, settings.bottom->to}, diagnostics,
                         settings.moving);
    for (std::size_t i = 0; i < cells.size(); ++i) {
        auto its = hazards_of(cells[i], i, zones[i], surfaces ? &*surfaces : nullptr, settings);
        if (out.all.empty())
            out.all = std::move(its.all);
        else
            std::move(its.all.begin(), its.all.end(), std::back_inserter(out.all));
        std::move(its.under.begin(), its.under.end(), std::back_inserter(under));
        std::copy_if(zones[i].all().begin(), zones[i].all().end(), std::back_inserter(out.zones),
                     [](const auto& zone) { return !zone.under_better; });
        diagnostics.insert(diagnostics.end(), its.said.begin(), its.said.end());
        out.cells.push_back(std::move(its.cell));
    }
    join_split_objects(out.all, out.cells);
    join_split_zones(out.zones, out.cells);
    settle_under_better(under, out.all, out.cells);
    std::move(under.begin(), under.end(), std::back_inserter(out.all));
    if (settings.trust)
        apply_trust(out, cells, zones, settings);
    add_too_small(chart::too_small_in_scale(cells, settings.window), cells, out.all);
    out.all.push_back(no_data(uncovered(cells), "no chart covers this water", "", 0));
    out.all.back().uncovered = true;
    std::vector<geo::Box> boxes;
    boxes.reserve(out.all.size());
    for (const auto& h : out.all)
        boxes.push_back(h.box);
    out.index = std::make_shared<const geo::BoxIndex>(boxes);
    out.quality = std::move(quality);
    return out;
}

} // namespace dangerline::hazard
