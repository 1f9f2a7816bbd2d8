// From charted objects to hazards.
#pragma once

#include <optional>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/base/time.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/survey/moving.hpp"
#include "dangerline/survey/rules.hpp"

namespace dangerline::hazard {

/// Where and at which levels the bottom between charted depths is worked out. What is asked of the hazards
/// later must reach no farther than the boxes, and levels must reach from what the highest tide leaves shoal
/// to what the lowest one and all doubts do.
struct BottomWindow {
    std::vector<geo::Box> near;          ///< in the plane of the cells
    seabed::Decimetres from = 0, to = 0; ///< depths, both included
};

/// Metres; no question reaches farther from a window.
inline constexpr double around_window_m = 3.0 * metres_per_nautical_mile;

struct BuildSettings {
    /// Without it DRVAL2 decides danger and DRVAL1 caution in depth areas.
    std::optional<BottomWindow> bottom{};
    /// The day ages of local notes are reckoned at; without it none is old.
    std::optional<CalendarDay> as_of{};
    /// What lies beyond is asked for no "too small in scale", and soundings more than `around_window_m`
    /// beyond make no hazards unless bottoms move so far; everything counts without it.
    std::optional<geo::Box> window{};
    /// How surveys are judged; without it the charted quality zones count as they stand, whatever their age.
    std::optional<survey::TrustSettings> trust{};
    /// Moving bottoms the user has drawn, in the plane of the cells; for nothing without `trust`.
    std::vector<survey::DrawnMoving> moving{};
};

/// Hazards of the cells, which must have been laid out in one plane and settled beside one another
/// (chart::settle_scales). Reports what contradicts itself (depth against water level, DRVAL2 shoaler than
/// DRVAL1) and each class that no rule knows. Besides charted objects there are hazards of kind no_data:
/// water no cell covers, gaps and overlaps of the charted bottom, the whole of a cell that is not to be
/// believed, what readings of a broken area disagree on. What a coarser cell shows where a better one rules
/// is a caution at most, a note where the better one shows the same. Old local notes are cautions. What runs
/// over the edge of a datum area (M_SDAT, M_VDAT) becomes one hazard a datum; each sounding has the datum of
/// its own place; where such areas overlap, both datums count.
///
/// With `trust`: old and moving surveys widen the wide reading (survey::Trust), over a moving bottom depth
/// areas get a step of their own there, and bars and channels that a survey is too old for become unknown.
Hazards build(const std::vector<chart::Cell>& cells, Diagnostics& diagnostics,
              const BuildSettings& settings = {});

} // namespace dangerline::hazard
