// What matters to an anchor alone: where nobody should let one go, and what the bottom is made of.
#pragma once

#include <cstdint>
#include <memory>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/hazard/hazard.hpp"

namespace dangerline::hazard {

enum class Foul : std::uint8_t {
    cable,
    pipe,
    wreck,
    obstruction, ///< foul ground, rocks, ground tackle and whatever else stands on the bottom
    forbidden,   ///< anchoring or entry forbidden or restricted
    dumping,
    military,
    farm, ///< marine farms and fishing gear
    works,
    traffic,
    weed,
    rough, ///< rips, overfalls, eddies
    surf
};
const char* to_text(Foul foul);

/// A charted object of that class, and with one of these codes where an attribute is named, is no place to
/// anchor. A row may also ask that the attribute is missing: what is not stated counts as the worst.
struct AnchoringRule {
    std::string_view cls;       ///< S-57 acronym; "*": every class
    std::string_view attribute; ///< empty: whatever its attributes
    std::vector<int> codes;     ///< one of these; empty: the attribute is missing
    Foul foul;
    std::string_view what; ///< "submarine cable"
    std::string_view why;  ///< half a sentence
};
/// All rows; of one class the first that fits counts.
std::span<const AnchoringRule> anchoring_rules();
/// The row for an object; null where it is nothing to an anchor.
const AnchoringRule* anchoring_rule(const chart::Feature& feature);

/// One such object near a place.
struct FoulObject {
    const AnchoringRule* rule = nullptr;
    ObjectRef object{};
    std::string remark{};    ///< INFORM of the chart, quoted
    double distance_m = 0.0; ///< from the place to where it is charted; 0 inside an area
    double position_m = 0.0; ///< it may be so much nearer (survey::Allowance::position_m)
    bool coarser = false;    ///< of a coarser chart where a better one rules
    geo::Point nearest{};    ///< of its charted shape
    std::shared_ptr<const geo::Shape> shape{};
};

/// The nature of the bottom as one SBDARE states it.
struct BottomNature {
    std::vector<int> natsur{}, natqua{}; ///< as charted, in their order; empty: not stated
    ObjectRef object{};
    bool area = false;       ///< it holds for an area, not for a point or line alone
    double distance_m = 0.0; ///< 0 inside an area
    double position_m = 0.0;
};

/// The objects of some charts that matter to an anchor. Cells laid out in one plane and settled
/// (chart::settle_scales) must outlive it.
class AnchoringGround {
  public:
    explicit AnchoringGround(const std::vector<chart::Cell>& cells);
    ~AnchoringGround();
    AnchoringGround(AnchoringGround&&) noexcept;
    AnchoringGround& operator=(AnchoringGround&&) noexcept;

    /// Everything no anchor should go near that may lie within `within_m`, its position doubt taken in;
    /// nearest first.
    std::vector<FoulObject> foul_near(geo::Point place, double within_m) const;
    /// Natures charted within `within_m` or, by position doubt, perhaps within it; nearest first. Those of
    /// a coarser chart where a better one rules are left out.
    std::vector<BottomNature> natures_near(geo::Point place, double within_m) const;
    /// Objects of such classes that have no place in a cell that covers this one: nobody can tell where they
    /// lie. Empty: none.
    std::string placeless_at(geo::Point place) const;

  private:
    struct Implementation;
    std::unique_ptr<const Implementation> self_;
};

} // namespace dangerline::hazard
