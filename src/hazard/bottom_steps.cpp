#include "hazard/bottom_steps.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace dangerline::hazard {

namespace {

/// Where DRVAL1 goes on to decide cautions: sparse triangles, and what lies beyond the window.
std::shared_ptr<const geo::Shape> left_to_the_range(const BottomSteps& bottom) {
    const geo::Shape sparse = bottom.surface.sparse(bottom.dense_m, bottom.poorly_surveyed);
    std::vector<geo::Ring> rings;
    for (std::size_t i = 0; i < sparse.part_count(); ++i)
        rings.emplace_back(sparse.part(i).begin(), sparse.part(i).end());
    rings.insert(rings.end(), bottom.beyond.begin(), bottom.beyond.end());
    return std::make_shared<const geo::Shape>(geo::Shape::of_area(rings));
}

} // namespace

SurfaceSteps surface_steps(const BottomSteps& bottom) {
    SurfaceSteps out;
    out.left_to_the_range = left_to_the_range(bottom);
    const auto& surface = bottom.surface;
    const int first = std::max(bottom.from, seabed::level_at_or_above(surface.shoalest()));
    const int last = std::min(bottom.to, seabed::level_at_or_above(surface.deepest()) - 1);
    std::shared_ptr<const geo::Shape> before;
    for (int level = first; level <= last; ++level) {
        auto extent = std::make_shared<const geo::Shape>(surface.no_deeper_than(level + 1));
        // The same outline one decimetre deeper says nothing that the shoaler step does not say.
        if (extent->empty() || (before && std::ranges::equal(extent->points(), before->points())))
            continue;
        before = extent;
        Step s;
        s.depth = Depth::from_metres(std::max(level / 10.0, surface.shoalest()));
        s.basis = fmt::format("about {:.1f} m by the depths around", s.depth.metres());
        s.extent = std::move(extent);
        out.levels.push_back(std::move(s));
    }
    return out;
}

std::vector<Step> with_surface(std::vector<Step> steps, const SurfaceSteps& surface) {
    std::vector<Step> out; // the whole area stays the first
    for (auto& step : steps) {
        if (step.in_force == InForce::below && step.decides == Grade::caution) {
            if (surface.left_to_the_range->empty())
                continue;
            step.extent = surface.left_to_the_range;
        }
        out.push_back(std::move(step));
    }
    out.insert(out.end(), surface.levels.begin(), surface.levels.end());
    return out;
}

} // namespace dangerline::hazard
