#include "dangerline/survey/moving.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "dangerline/geo/cut.hpp"
#include "dangerline/geo/regions.hpp"

namespace dangerline::survey {

namespace {

using chart::Cell;
using chart::Feature;
using geo::Shape;
using Shared = std::shared_ptr<const Shape>;

bool is_area(const Feature& f) {
    return f.shape && !f.shape->empty() && f.shape->kind() == geo::ShapeKind::area;
}

/// Mud, silt or sand, and nothing that stays where it is.
bool is_soft(const Feature& f) {
    if (f.cls != "SBDARE" || !is_area(f))
        return false;
    const auto natures = f.attributes.codes("NATSUR");
    const auto any = [&](std::initializer_list<int> of) {
        return std::any_of(natures.begin(), natures.end(),
                           [&](int n) { return std::find(of.begin(), of.end(), n) != of.end(); });
    };
    return any({1, 3, 4}) && !any({5, 8, 9, 11, 14, 18});
}

MovingArea area_of(Moving kind, const Cell& cell, const Feature& f, Shared where, const MovingRule& rule) {
    return {kind, name_of(f),       f.cls,      to_text(f.id), cell.name, rule.metres_per_year, rule.years,
            {},   std::move(where), rule.source};
}

MovingArea drawn_area(const DrawnMoving& d, Shared where, const TrustSettings& settings) {
    const auto& rule = settings.rule(d.kind);
    return {d.kind,
            d.name,
            "",
            "",
            "",
            d.metres_per_year.value_or(rule.metres_per_year),
            d.years.value_or(rule.years),
            d.surveyed,
            std::move(where),
            d.metres_per_year ? by_the_plan : rule.source};
}

Shared extent_of(const Feature& f) {
    if (is_area(f))
        return f.shape;
    return std::make_shared<const Shape>(geo::to_shape(geo::grown(*f.shape, crest_spacing_m)));
}

/// What the chart shows less than so much over, within an area. A depth nobody states counts as less.
Shared shoaler_part(const std::vector<Cell>& cells, const Shape& within, double depth_m) {
    std::vector<const Shape*> shoal;
    for (const auto& cell : cells)
        for (const auto& f : cell.features) {
            if ((f.cls != "DEPARE" && f.cls != "DRGARE" && f.cls != "UNSARE") || f.under_better ||
                !is_area(f) || !f.shape->box().meets(within.box()))
                continue;
            const double shoalest =
                f.attributes.number("DRVAL1").value_or(-std::numeric_limits<double>::infinity());
            if (shoalest < depth_m)
                shoal.push_back(f.shape.get());
        }
    if (shoal.empty())
        return nullptr;
    const auto part = geo::common(geo::united(shoal), geo::polygons_of(within));
    return part.empty() ? nullptr : std::make_shared<const Shape>(geo::to_shape(part));
}

template <typename Take>
void each_feature(const std::vector<Cell>& cells, Take take) {
    for (const auto& cell : cells)
        for (const auto& f : cell.features)
            if (!cell.withdrawn && f.shape && !f.shape->empty())
                take(cell, f);
}

} // namespace

double farthest_m(const MovingArea& area) {
    const auto& box = area.where->box();
    return std::hypot(box.max_x - box.min_x, box.max_y - box.min_y);
}

std::vector<MovingArea> moving_areas(const std::vector<Cell>& cells, const std::vector<DrawnMoving>& drawn,
                                     const TrustSettings& settings) {
    std::vector<MovingArea> out;
    each_feature(cells, [&](const Cell& cell, const Feature& f) {
        if (f.cls == "SNDWAV")
            out.push_back(
                area_of(Moving::sand_waves, cell, f, extent_of(f), settings.rule(Moving::sand_waves)));
        else if (is_soft(f))
            out.push_back(area_of(Moving::soft, cell, f, f.shape, settings.rule(Moving::soft)));
    });
    for (const auto& d : drawn) {
        const auto where =
            d.kind == Moving::river_mouth ? shoaler_part(cells, *d.where, settings.mouth_depth_m) : d.where;
        if (where)
            out.push_back(drawn_area(d, where, settings));
    }
    return out;
}

std::vector<MovingArea> bars(const std::vector<Cell>& cells, const std::vector<DrawnMoving>& drawn,
                             const TrustSettings& settings) {
    std::vector<MovingArea> out;
    MovingRule of_sand_waves = settings.rule(Moving::sand_waves);
    of_sand_waves.years = settings.bar_years;
    each_feature(cells, [&](const Cell& cell, const Feature& f) {
        if (f.cls != "SNDWAV" || f.under_better)
            return;
        if (auto where = shoaler_part(cells, *extent_of(f), settings.bar_depth_m))
            out.push_back(area_of(Moving::bar, cell, f, std::move(where), of_sand_waves));
    });
    for (const auto& d : drawn) {
        const auto where = d.kind == Moving::bar           ? d.where
                           : d.kind == Moving::river_mouth ? shoaler_part(cells, *d.where, 0.0)
                                                           : nullptr;
        if (!where)
            continue;
        out.push_back(drawn_area(d, where, settings));
        out.back().kind = Moving::bar;
        out.back().years = (d.kind == Moving::bar ? d.years : std::nullopt).value_or(settings.bar_years);
    }
    return out;
}

std::vector<MovingArea> channels(const std::vector<Cell>& cells, const std::vector<DrawnMoving>& drawn,
                                 const TrustSettings& settings) {
    std::vector<MovingArea> out;
    each_feature(cells, [&](const Cell& cell, const Feature& f) {
        if ((f.cls == "DRGARE" || f.cls == "FAIRWY") && is_area(f) && !f.under_better)
            out.push_back(area_of(Moving::channel, cell, f, f.shape, settings.rule(Moving::channel)));
    });
    for (const auto& d : drawn)
        if (d.kind == Moving::channel)
            out.push_back(drawn_area(d, d.where, settings));
    return out;
}

} // namespace dangerline::survey
