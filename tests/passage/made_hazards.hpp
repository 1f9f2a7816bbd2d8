// Hazards made by hand, in a plane around 46 N 28 W.
#pragma once

#include <memory>
#include <utility>
#include <vector>

#include "dangerline/geo/plane.hpp"
#include "dangerline/hazard/hazard.hpp"

namespace made_hazards {

inline const dangerline::geo::Plane& plane() {
    static const dangerline::geo::Plane p(dangerline::geo::Position{-28.0, 46.0});
    return p;
}

/// Of one cell at 1:10,000 above lowest astronomical tide.
inline dangerline::hazard::Hazards world(std::vector<dangerline::hazard::Hazard> all,
                                         std::vector<dangerline::survey::QualityZone> zones = {}) {
    dangerline::hazard::Hazards w;
    w.cells.push_back({"TEST", 1, 0, "20260101", 10000, 23, {}});
    w.all = std::move(all);
    w.zones = std::move(zones);
    std::vector<dangerline::geo::Box> boxes;
    for (const auto& h : w.all)
        boxes.push_back(h.box);
    w.index = std::make_shared<const dangerline::geo::BoxIndex>(boxes);
    return w;
}

} // namespace made_hazards
