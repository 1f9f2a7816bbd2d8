// Areas dissolved into one, parted along others, and where they are narrow.
#pragma once

#include <memory>
#include <vector>

#include "dangerline/geo/regions.hpp"
#include "dangerline/geo/shape.hpp"

namespace dangerline::geo {

/// What the areas cover together, without the edges between them; holes stay. Points and lines add nothing.
/// Areas that share their edges bit for bit, as those of one chart do, go by their outline alone, which is
/// believed where it is valid and no area got lost or was covered twice (0.01 m2); all others by an exact
/// union.
std::vector<PolygonRings> dissolved(const std::vector<const Shape*>& areas);

/// Whether the areas of `b` cover exactly what those of `a` cover, no place twice, as their edges tell: they
/// must share them bit for bit. No place may lie in two areas of `a`. False where it can't be told so.
bool same_cover(const std::vector<const Shape*>& a, const std::vector<const Shape*>& b);

/// An area in two parts along another. No place is lost and none stands in both: areas add up to rounding
/// (1e-6 of a square metre for a chart cell).
struct Parted {
    std::vector<PolygonRings> inside;
    std::vector<PolygonRings> outside;
};
Parted parted(const std::vector<PolygonRings>& area, const std::vector<PolygonRings>& along);

/// One area that many others are laid over.
class Ground {
  public:
    /// The polygons may touch but must not overlap.
    explicit Ground(const std::vector<PolygonRings>& area);
    ~Ground();
    Ground(Ground&&) noexcept;
    Ground& operator=(Ground&&) noexcept;
    /// What it shares with another area, and what of it that area leaves. One thread at a time.
    std::vector<PolygonRings> shared_with(const std::vector<PolygonRings>& other) const;
    std::vector<PolygonRings> left_by(const std::vector<PolygonRings>& other) const;

  private:
    struct Implementation;
    std::unique_ptr<Implementation> self_;
};

/// Where a disc of that width does not fit into the area: its narrow parts. Corners of a right angle or wider
/// are none; what is left of sharper ones, and pieces under 1 m2, is dropped where it reaches less than half
/// the width along.
std::vector<PolygonRings> narrower_than(const std::vector<PolygonRings>& area, double width);

/// Rings rounded to so many degrees as valid polygons again: what rounding lets cross or touch itself is
/// noded, and what it makes vanish is gone. Longitudes may run on across 180 degrees.
using PositionRings = std::vector<std::vector<Position>>;
std::vector<PositionRings> rounded_valid(const std::vector<PositionRings>& polygons, double degrees);

} // namespace dangerline::geo
