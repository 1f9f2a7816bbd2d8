#include "dangerline/hazard/moved.hpp"

#include <algorithm>

#include "dangerline/geo/cut.hpp"

namespace dangerline::hazard {

double moved_m(const Hazard& hazard) {
    double moved = 0.0;
    for (const auto& step : hazard.steps)
        moved = std::max(moved, step.moved_m);
    return moved;
}

std::vector<MovedStep> moved_steps(const Hazard& hazard) {
    std::vector<MovedStep> out;
    std::size_t part = 0;
    for (const auto& moving : hazard.steps) {
        // As trust in its survey lays them: not a danger at the chart's word.
        if (!hazard.between || moving.decides != Grade::caution || moving.moved_m <= 0.0 ||
            moving.extent->kind() != geo::ShapeKind::area)
            continue;
        ++part;
        const geo::Cutter cutter(geo::polygons_of(*moving.extent));
        for (std::size_t k = 0; k < hazard.steps.size(); ++k)
            if (hazard.steps[k].decides == Grade::danger)
                if (auto inside = cutter.cut(hazard.steps[k].extent).inside)
                    out.push_back({k, std::move(inside), moving.moved_m, part});
    }
    return out;
}

} // namespace dangerline::hazard
