// What is charted of the bottom near given boxes, ready to be asked place by place. Private to the room.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/index.hpp"
#include "dangerline/seabed/surface.hpp"
#include "dangerline/survey/allowance.hpp"
#include "dangerline/survey/zones.hpp"

namespace dangerline::hazard {

class Surfaces;

struct BottomSounding {
    geo::Point at;
    double depth_m = 0.0;
    std::vector<int> datums;
    bool doubtful = false;  ///< QUASOU: the value is not to be relied on
    bool no_bottom = false; ///< QUASOU 5, 7: it is deeper
    survey::Allowance allowance;
    std::string lnam, cell;
};

/// A group 1 area, or the part of one above one datum.
struct BottomArea {
    enum class What : std::uint8_t { depths, land, unknown };
    What what = What::depths;
    std::shared_ptr<const geo::Shape> shape;
    std::optional<double> shoalest_m{}, deepest_m{};
    int datum = 0;
    bool no_bottom = false;
    survey::Allowance allowance;
    int scale = 0;     ///< of its cell; 1:1,000,000 where not stated
    std::string words; ///< "depth area 2.0 to 5.0 m, DEPARE 00..., X14TEST1", or why nothing is known
    std::string lnam, cell;
    std::shared_ptr<const seabed::Surface> surface{};
};

class BottomPieces {
  public:
    /// `quality` of each cell; null: made here.
    BottomPieces(const std::vector<chart::Cell>& cells, const std::vector<geo::Box>& near, bool with_surfaces,
                 const std::vector<survey::QualityZones>* quality);

    /// Areas that may reach within `within_m` of the place by the doubt of their position.
    std::vector<const BottomArea*> areas_near(geo::Point place, double within_m) const;
    std::vector<const BottomSounding*> soundings_in(const BottomArea& area) const;
    /// Why the charts near can't be believed; empty: they can.
    std::string distrusted(geo::Point place, double metres) const;
    /// A gap, an overlap or an area that is drawn wrong so near; empty: none.
    std::string broken_near(geo::Point place, double metres) const;
    /// Height of sand waves so near, 0 where there are none; nothing where it is not stated.
    std::optional<double> sand_waves(geo::Point place, double metres) const;

  private:
    struct Place {
        std::shared_ptr<const geo::Shape> shape;
        std::string why;
        std::optional<double> metres{};
    };
    void take(const chart::Cell& cell, const survey::QualityZones& zones, const std::vector<geo::Box>& near,
              const Surfaces* surfaces);

    std::vector<BottomArea> areas_;
    std::vector<BottomSounding> soundings_;
    std::vector<std::vector<std::uint32_t>> sounded_; ///< soundings in each area
    std::vector<Place> distrusted_, broken_, sand_waves_;
    std::unique_ptr<const geo::BoxIndex> index_; ///< of areas, grown by their doubt
};

} // namespace dangerline::hazard
