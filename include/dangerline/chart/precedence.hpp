// Which of several cells rules where, and what the others keep there.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/regions.hpp"

namespace dangerline::chart {

/// Whether `a` is compiled at a larger scale than `b` (smaller CSCL). A cell without scale is neither better
/// nor worse than any: it hides nothing and nothing of it is hidden, since nobody can say which is right. So
/// with two cells of one scale: where they overlap both count.
bool better_scale(const Cell& a, const Cell& b);

/// In the plane the cells were laid out in.
struct Ruling {
    std::vector<geo::PolygonRings> region; ///< its coverage less that of better cells
    std::vector<geo::PolygonRings>
        better; ///< the coverage of all better cells that come near it, slits under 1 m between them filled
};

/// One a cell. CATCOV 2 is no coverage, so the next scale rules there; withdrawn cells, notes and sources
/// without coverage rule nowhere, and notes have no better.
std::vector<Ruling> ruling_regions(const std::vector<Cell>& cells);

/// Gives each cell what it may say beside better ones. Where a better cell rules, a cell gives up its depth,
/// dredged, unsurveyed and land areas, contours, depth lines and soundings; every other object that lies
/// there wholly or in part becomes (in that part) a feature with `under_better` set, which the rules take as
/// a caution at most. Quality areas are parted likewise, so that those features keep the quality they were
/// drawn with. Datum areas and coverage objects stay. Cell::coverage becomes the region where the cell rules,
/// and gaps elsewhere are dropped. Call once, after lay_out() of all cells.
void settle_scales(std::vector<Cell>& cells);

/// Coarser than this, a chart of a coast shows too little of it for a small boat (assumption of this
/// project).
inline constexpr double coast_scale = 100'000.0;
inline constexpr double coast_metres = 3.0 * 1852.0;

/// Where a cell rules that is coarser than 1:100,000 or has no scale, within 3 nautical miles of land (the
/// width errs outwards, to 3.1): there the chart is too small in scale. `cells` as settled; land of all of
/// them counts. With `window`, only land that meets it grown by the distance, which is much faster where a
/// cell is large.
struct TooSmall {
    std::size_t cell = 0;
    std::shared_ptr<const geo::Shape> where;
};
std::vector<TooSmall> too_small_in_scale(const std::vector<Cell>& cells,
                                         const std::optional<geo::Box>& window = std::nullopt);

} // namespace dangerline::chart
