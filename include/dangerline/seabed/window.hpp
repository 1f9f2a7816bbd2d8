// The depth surfaces of one cell within one working window, made when they are asked for.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/seabed/surface.hpp"

namespace dangerline::seabed {

/// DRVAL1 and DRVAL2 of a depth area, metres; nothing where either is missing or they are no range.
struct DepthRange {
    double shoalest_m = 0.0, deepest_m = 0.0;
};
std::optional<DepthRange> range_of(const chart::Feature& area);

/// What stands over an edge of a depth area by the areas on its two sides: the contour both ranges share, or
/// DRVAL1 where the other side is land, no area, of unknown depth, or of a range that overlaps.
class Window {
  public:
    /// The cell must be laid out and outlive the window; `box` is in its plane. Surfaces are cut at the box,
    /// where DRVAL1 stands, so let it reach farther than anything that is asked of them. The pre-work takes
    /// the edges of all areas that meet the box once.
    Window(const chart::Cell& cell, const geo::Box& box);
    ~Window();
    Window(const Window&) = delete;
    Window& operator=(const Window&) = delete;

    const geo::Box& box() const { return box_; }

    /// Null where the area has no range (a dredged area has one depth), does not meet the box, or can't be
    /// triangulated; `why_not` then says which of the last. Not for use on several threads at once.
    std::shared_ptr<const Surface> of(const chart::Feature& area, std::string& why_not) const;

  private:
    struct Edges;
    AreaDepths depths_of(const chart::Feature& area, const DepthRange& range) const;
    void take_soundings(const geo::Shape& inside, AreaDepths& out) const;
    void take_contours(const geo::Shape& inside, AreaDepths& out) const;

    const chart::Cell& cell_;
    geo::Box box_;
    std::unique_ptr<const Edges> edges_;
    std::vector<const chart::Feature*> soundings_, contours_;
    mutable std::map<const chart::Feature*, std::pair<std::shared_ptr<const Surface>, std::string>> made_;
};

} // namespace dangerline::seabed
