// How far a chart can be believed: what age, technique and a moving bottom add to its doubts.
#pragma once

#include <cstddef>
#include <memory>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/index.hpp"
#include "dangerline/survey/allowance.hpp"
#include "dangerline/survey/moving.hpp"
#include "dangerline/survey/rules.hpp"
#include "dangerline/survey/zones.hpp"

namespace dangerline::survey {

/// The CATZOC whose figures count for a survey, never a better one than `catzoc`: C for what was sounded by
/// lead line (practice of the United Kingdom) and for B that is not known to be of b_since_year or later
/// (Norway: C before 1950; France: C 1935 to 1970); both by IHO S-68 Ed 1.0.0 Annex B Table B-1. A1 and A2
/// attest a full search of the sea floor and stay.
int figures_for(int catzoc, const Facts& facts, const TrustSettings& settings);

/// Flags that hold of a survey anywhere, whatever moves there; in the order of the table.
std::vector<Flag> flags_of(int catzoc, const Facts& facts);

/// Whether `a` is less to be believed than `b`: by its gravest flag, then CATZOC, then the age of its oldest
/// part (undated first), then the technique (lead line before single beam before all others).
bool less_trusted(const QualityZone& a, const QualityZone& b);

/// A zone that says something of surveys beside M_QUAL: M_SREL (dates, technique, quality of positions) or
/// M_ACCY (doubts).
struct SideZone {
    std::string cls, lnam;
    std::size_t cell = 0;
    Facts facts;
    double position_m = 0.0; ///< POSACC, or by QUAPOS
    double souacc_m = 0.0;
    std::shared_ptr<const geo::Shape> shape;
    bool surveys = false;      ///< M_SREL: its dates count
    bool under_better = false; ///< of a coarser cell, where a better one rules
};
std::vector<SideZone> side_zones(const chart::Cell& cell, std::size_t number);

/// The oldest survey under an object.
struct Dated {
    Facts facts;
    Age age;
};

/// A bar whose survey is too old, or of unknown age.
struct OldBar {
    const MovingArea* bar = nullptr;
    Age age;
};

/// Where a channel may have moved by more than half its width.
struct MovedChannel {
    const MovingArea* channel = nullptr;
    double moved_m = 0.0;
    std::shared_ptr<const geo::Shape> where;
};

/// Trust in several cells at once.
class Trust {
  public:
    /// Cells laid out in one plane and settled; `zones` are theirs, in their order. All must outlive this.
    Trust(const std::vector<chart::Cell>& cells, const std::vector<QualityZones>& zones,
          TrustSettings settings, const std::vector<DrawnMoving>& drawn = {});

    const TrustSettings& settings() const { return settings_; }
    const std::vector<MovingArea>& moving() const { return moving_; }
    const std::vector<MovingArea>& bars() const { return bars_; }
    const std::vector<MovingArea>& channels() const { return channels_; }
    const std::vector<SideZone>& sides() const { return sides_; }

    static constexpr std::size_t no_cell = static_cast<std::size_t>(-1);

    /// Of all zones an object of that cell (no_cell: of none) may lie in the oldest; undated where one of
    /// them is, or where none covers it. `own` are the object's own dates: its source is a bound for what it
    /// rests on.
    Dated oldest(const geo::Shape& shape, const Facts& own, std::size_t cell) const;

    /// Widens what the wide reading allows: the figures of the zones as their surveys deserve, and what
    /// M_SREL and M_ACCY add. Nothing gets smaller, and the close reading stays.
    void widen(Allowance& allowance, const geo::Shape& shape, const Facts& own, std::size_t cell,
               double depth_m) const;

    /// How far the bottom of a moving area may have gone since the survey under `shape`, metres.
    double moved_m(const MovingArea& area, const geo::Shape& shape, const Facts& own, std::size_t cell) const;
    /// The age that counts in a moving area: of its own survey where that is stated, else of the zones.
    Age age_in(const MovingArea& area, const geo::Shape& shape, const Facts& own, std::size_t cell) const;

    std::vector<OldBar> old_bars() const;
    /// By the narrow parts of each channel (geo::narrower_than) that lie over a moving bottom; drawn channels
    /// move themselves.
    std::vector<MovedChannel> moved_channels() const;

  private:
    std::optional<MovedChannel> moved_channel(const MovingArea& channel, const MovingArea& over) const;
    struct CellZone {
        std::size_t cell;
        const QualityZone* zone;
    };
    std::vector<const QualityZone*> zones_under(const geo::Shape& shape, std::size_t cell) const;
    std::vector<const SideZone*> sides_under(const geo::Shape& shape, std::size_t cell) const;

    TrustSettings settings_;
    std::vector<CellZone> zones_;
    std::unique_ptr<geo::BoxIndex> index_;
    std::vector<SideZone> sides_;
    std::vector<MovingArea> moving_, bars_, channels_;
};

} // namespace dangerline::survey
