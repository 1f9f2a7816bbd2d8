// Quality zones of a chart (M_QUAL) in the working plane.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/index.hpp"
#include "dangerline/geo/shape.hpp"
#include "dangerline/survey/dates.hpp"

namespace dangerline::survey {

/// Years a zone's survey spans, as far as its dates can be read.
struct SurveyYears {
    std::optional<int> first; ///< from SURSTA
    std::optional<int> last;  ///< from SUREND
};

/// The year at the head of an S-57 date of any length (CCYY, CCYYMM, CCYYMMDD); nothing for junk, years
/// outside 1600 to 2100 and yearly dates (--MMDD, 0000MMDD).
std::optional<int> year_of(std::string_view date);

struct QualityZone {
    std::string lnam; ///< empty for water no quality zone covers
    std::string cell;
    int catzoc = 0; ///< 0 where none is given
    SurveyYears years;
    std::shared_ptr<const geo::Shape> shape;
    bool under_better = false; ///< of a coarser cell, where a better one rules: for allowances there only
    Facts facts{};             ///< when and how it was surveyed
    std::optional<double> posacc_m{}, souacc_m{}; ///< stated of the zone as a whole
    /// CATZOC whose figures count, never a better one than `catzoc`; nothing: its own. Set by Trust.
    std::optional<int> counts_as{};
    int figures() const { return counts_as.value_or(catzoc); }
};

/// Whether an object may lie in a zone: some run of its edges begins in it, or the bounds of that run come
/// within a metre of an edge of the zone, or the zone lies within the object. Errs to yes.
bool may_lie_in(const geo::Shape& shape, const geo::Shape& zone);

/// "lines-only survey (CATZOC B) of 1940-49", "survey of unstated quality (no CATZOC), undated".
std::string describe(const QualityZone& zone);

/// The zones of one cell and what its coverage leaves over.
class QualityZones {
  public:
    explicit QualityZones(const chart::Cell& cell);
    const std::vector<QualityZone>& all() const { return zones_; }
    /// Worst CATZOC of the zones that cover the place; 0 (none) where none does.
    int catzoc_at(geo::Point place) const;
    /// Worst CATZOC over an extended object: of every zone it may lie in, judged by the bounds of up to 64
    /// edges at a time, which errs to the worse side. 0 where none.
    int catzoc_over(const geo::Shape& shape) const;

  private:
    std::vector<QualityZone> zones_;
    std::unique_ptr<geo::BoxIndex> index_;
};

} // namespace dangerline::survey
