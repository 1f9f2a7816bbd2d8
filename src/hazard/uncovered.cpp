#include "hazard/uncovered.hpp"

#include "dangerline/geo/cut.hpp"

namespace dangerline::hazard {

namespace {

constexpr double frame_m = 1'000'000.0;

/// Cells meet along edges that are cut at different places; what is narrower than this exists in the plane
/// only.
constexpr double seam_m = 1.0;

} // namespace

geo::Ring everywhere() {
    return {{-frame_m, -frame_m},
            {frame_m, -frame_m},
            {frame_m, frame_m},
            {-frame_m, frame_m},
            {-frame_m, -frame_m}};
}

std::shared_ptr<const geo::Shape> uncovered(const std::vector<chart::Cell>& cells) {
    std::vector<geo::PolygonRings> coverage;
    if (cells.size() == 1) {
        coverage = cells.front().coverage;
    } else {
        std::vector<geo::Shape> shapes;
        for (const auto& cell : cells)
            shapes.push_back(geo::to_shape(cell.coverage));
        std::vector<const geo::Shape*> pointers;
        for (const auto& shape : shapes)
            if (!shape.empty())
                pointers.push_back(&shape);
        if (!pointers.empty())
            coverage = geo::slits_filled(geo::united(pointers), seam_m);
    }
    std::vector<geo::Ring> rings{everywhere()};
    for (const auto& polygon : coverage)
        rings.insert(rings.end(), polygon.begin(), polygon.end());
    return std::make_shared<const geo::Shape>(geo::Shape::of_area(rings));
}

} // namespace dangerline::hazard
