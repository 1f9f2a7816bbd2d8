// Depth surfaces of all cells, across the lines that part one area between cells. Private to the room.
#pragma once

#include <map>
#include <memory>
#include <optional>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/seabed/window.hpp"
#include "dangerline/survey/moving.hpp"
#include "dangerline/survey/zones.hpp"
#include "hazard/bottom_steps.hpp"

namespace dangerline::hazard {

/// Where cells of one scale and sounding datum meet, they are laid as one: an area that both show in parts
/// (the same LNAM and range) gets one surface, and the contour that two areas share counts on either side.
/// So where the line between two cells runs changes no depth. An area in or beside which the datum of depths
/// changes gets none, and that is said.
class Surfaces {
  public:
    struct Levels {
        seabed::Decimetres from, to;
    };
    /// The cells must outlive this; `zones` are theirs, in their order. With `levels`, only areas whose range
    /// has one of them.
    Surfaces(const std::vector<chart::Cell>& cells, const std::vector<survey::QualityZones>& zones,
             const std::vector<geo::Box>& near, const std::optional<Levels>& levels, Diagnostics& diagnostics,
             const std::vector<survey::DrawnMoving>& drawn = {});

    /// Null where the area has none.
    std::shared_ptr<const seabed::Surface> of(const chart::Feature& area) const;
    /// The steps of a depth area with its surface put in; as they are where it has none.
    std::vector<Step> put_into(std::vector<Step> steps, const chart::Feature& area) const;

  private:
    using Cells = std::vector<std::size_t>; ///< numbers of cells laid as one
    struct Laid {
        std::shared_ptr<const seabed::Surface> surface;
        std::shared_ptr<const SurfaceSteps> steps; ///< null without levels
    };
    std::shared_ptr<const SurfaceSteps> steps_of(const seabed::MadeSurface& made, const Cells& cells) const;
    void lay(Cells group, const std::vector<geo::Box>& near, Diagnostics& diagnostics);
    bool is_wanted(const chart::Feature& area) const;
    bool poorly_surveyed(geo::Point place, const Cells& cells) const;

    const std::vector<chart::Cell>& cells_;
    const std::vector<survey::QualityZones>& zones_;
    std::optional<Levels> levels_;
    std::vector<geo::Shape> covers_;
    std::vector<std::vector<const chart::Feature*>> moving_; ///< sand waves of each cell
    std::vector<std::shared_ptr<const geo::Shape>> drawn_;   ///< bottoms that move, by the plan
    std::map<const chart::Feature*, Laid> laid_;
};

} // namespace dangerline::hazard
