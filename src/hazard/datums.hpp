// Which datum the depths or clearances of a cell are above, place by place. Private to the room.
#pragma once

#include <memory>
#include <string_view>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/cut.hpp"

namespace dangerline::hazard {

/// A piece of an object above one datum.
struct DatumPart {
    int datum = 0; ///< VERDAT
    std::shared_ptr<const geo::Shape> shape;
};

/// The datum areas of one class (M_SDAT or M_VDAT) of a laid-out cell, which must outlive it. An object's own
/// VERDAT comes before that of the area it lies in, this before the cell's. Where areas of different datums
/// overlap, both count: whatever leaves less water then decides. One thread at a time.
class Datums {
  public:
    Datums(const chart::Cell& cell, std::string_view area_class, int of_cell);

    /// One or more codes for a depth at a place.
    std::vector<int> at(const chart::Feature& f, geo::Point place) const;
    /// `shape`, which is all of the object or a piece of it, cut where the datum changes; one part, the
    /// whole, where it does not. Parts of an area that are slivers (thinner than 1 m on average) are no
    /// parts: charts that share an edge cut it at different places in the plane.
    std::vector<DatumPart> parts(const chart::Feature& f,
                                 const std::shared_ptr<const geo::Shape>& shape) const;
    /// Whether the datum changes inside an area or along its edge towards another depth area.
    bool changes_beside(const chart::Feature& area) const;

  private:
    struct Region {
        int datum;
        geo::Cutter cutter;
    };
    bool at_rim(const geo::Shape& area) const;

    const chart::Cell& cell_;
    int of_cell_;
    std::vector<Region> regions_;      ///< one a datum
    std::unique_ptr<geo::Cutter> any_; ///< all of them together; null where there are none
    geo::Shape rim_;                   ///< the edges of all areas, as lines
};

} // namespace dangerline::hazard
