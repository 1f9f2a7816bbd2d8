// How shoal and how deep the bottom may be at a place: the one end for a keel, the other for an anchor rope.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/quantities.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/shape.hpp"
#include "dangerline/survey/zones.hpp"

namespace dangerline::hazard {

/// One end of what the bottom may be.
struct DepthBound {
    /// As charted, metres below DepthBounds::datum; Depth::never_covered() for land; nothing where unknown.
    std::optional<Depth> charted{};
    double doubt_m = 0.0; ///< 95 % survey doubt of that depth and the height of sand waves
    /// "depth area 2.0 to 5.0 m, DEPARE 00..., X14TEST1", or, where unknown, why.
    std::string rests_on{};
    std::string lnam{}; ///< of that object; empty where unknown
    std::string cell{};
};

struct DepthBounds {
    DepthBound shoalest;
    DepthBound deepest;
    /// The bottom between charted depths at the place itself; nothing where no surface is laid.
    std::optional<Depth> surface{};
    int datum = 0;        ///< VERDAT of all three depths; 0 where both bounds are unknown
    double reach_m = 0.0; ///< charted objects so far away were looked at

    /// The bottom may be no shoaler (deeper) than this, doubt taken in; nothing where unknown.
    std::optional<Depth> no_shoaler_than() const;
    std::optional<Depth> no_deeper_than() const;
};

/// Bounds of the bottom itself: rocks, wrecks and whatever else stands on it are hazards of their own.
///
/// What counts at a place: every depth or dredged area that may reach there by the full position doubt of its
/// survey (CATZOC, QUAPOS, POSACC, scale), and the soundings in these areas that are as near or within 10 mm
/// at the chart's scale more (an assumption of this project). The shoal bound is the least of DRVAL1 and such
/// soundings, each less its doubt of depth; the deep one the greatest of DRVAL2 and such soundings, each with
/// its doubt. An area without DRVAL2 is as deep as the deepest sounding anywhere in it; without a sounding
/// that is to be relied on its deep bound is unknown.
///
/// Both are unknown within that reach of water no chart covers, unsurveyed water, gaps and overlaps of the
/// charted bottom, areas that are drawn wrong or of doubtful depth (QUASOU 2, 3, 4, 8, 9), floating group 1
/// objects, sand waves of unstated height, another sounding datum, and in a cell that is not to be believed.
/// The deep one also where "no bottom was found" or a clearance only was (QUASOU 5, 7). The doubt of an
/// approximate datum (tide::is_approximate) belongs to the tide and is not in here.
class BottomBounds {
  public:
    /// Cells laid out in one plane and settled (chart::settle_scales), so that where a better one rules only
    /// it counts; nothing of them is kept but shapes. Asked places lie in the boxes `near`; elsewhere all is
    /// unknown.
    /// `quality`: of these cells (Hazards::quality), where they are known already; nothing of it is kept.
    BottomBounds(const std::vector<chart::Cell>& cells, std::vector<geo::Box> near, bool with_surfaces = true,
                 const std::vector<survey::QualityZones>* quality = nullptr);
    ~BottomBounds();
    BottomBounds(BottomBounds&&) noexcept;
    BottomBounds& operator=(BottomBounds&&) noexcept;

    /// Of all places within `within_m` of this one, in the plane of the cells. Threads may share it.
    DepthBounds at(geo::Point place, double within_m = 0.0) const;

  private:
    struct Implementation;
    std::unique_ptr<const Implementation> self_;
};

} // namespace dangerline::hazard
