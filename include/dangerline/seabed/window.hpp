// The depth surfaces of one cell within one working window, made when they are asked for.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/seabed/surface.hpp"

namespace dangerline::seabed {

/// DRVAL1 and DRVAL2 of a depth area, metres; nothing where either is missing or they are no range.
struct DepthRange {
    double shoalest_m = 0.0, deepest_m = 0.0;
};
std::optional<DepthRange> range_of(const chart::Feature& area);

/// A surface and the box it was cut at.
struct MadeSurface {
    std::shared_ptr<const Surface> surface; ///< null where there is none
    geo::Box window;
    std::string why_not;             ///< set where the area could not be triangulated
    std::vector<geo::Ring> beyond{}; ///< what of the area lies beyond the window; even-odd
};

/// What stands over an edge of a depth area by the areas on its two sides: the contour both ranges share, or
/// DRVAL1 where the other side is land, no area, of unknown depth, or of a range that overlaps.
class Window {
  public:
    /// The cell must be laid out and outlive the window. `near` are boxes in its plane, around everything
    /// that will be asked and as far as it reaches. An area's surface is cut at the bounds of the boxes that
    /// meet the area's own, where DRVAL1 stands, and ends where its triangles meet none of them. The pre-work
    /// takes the edges of all areas near once.
    Window(const chart::Cell& cell, std::vector<geo::Box> near);
    ~Window();
    Window(const Window&) = delete;
    Window& operator=(const Window&) = delete;

    /// Surfaces of these areas, on all processors; in their order. Nothing for an area without a range (a
    /// dredged area has one depth) or away from all boxes.
    std::vector<MadeSurface> make(const std::vector<const chart::Feature*>& areas) const;

  private:
    struct Edges;
    std::optional<geo::Box> window_of(const geo::Shape& area) const;
    MadeSurface make_one(const chart::Feature& area) const;
    AreaDepths depths_of(const chart::Feature& area, const DepthRange& range,
                         std::vector<geo::Ring> rings) const;
    void take_soundings(const geo::Shape& inside, AreaDepths& out) const;
    void take_contours(const geo::Shape& inside, AreaDepths& out) const;

    std::vector<geo::Box> near_;
    std::unique_ptr<const Edges> edges_;
    std::vector<const chart::Feature*> soundings_, contours_;
};

} // namespace dangerline::seabed
