// The anchor job: what the boat's anchor and rope can do at the marks of a plan.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/drift/anchor.hpp"
#include "dangerline/drift/anchor_ground.hpp"
#include "dangerline/hazard/anchoring.hpp"
#include "dangerline/hazard/bounds.hpp"
#include "dangerline/jobs/passage.hpp"

namespace dangerline::jobs {

// Assumptions of this project.
inline constexpr double beside_m = 500.0;       ///< what lies so near outside the swing circle is named
inline constexpr double nature_reach_m = 500.0; ///< a charted nature of the bottom tells nothing farther off

/// What the tide makes of the rope.
struct RopeAtTide {
    std::string when{}; ///< "low water while anchored"
    Instant at = Instant::from_unix_seconds(0.0);
    double tide_m = 0.0;  ///< above the datum of the charted depths, its doubt taken in to the deeper side
    double depth_m = 0.0; ///< from the bottom to the bow roller at the most
    double least_m = 0.0, in_proportion_m = 0.0, all_chain_m = 0.0; ///< lengths needed
};

/// Where an object lies beside the swing circle.
enum class Lies { in_circle, by_doubt, beside };
const char* to_text(Lies lies);

/// An object no anchor should go near.
struct FoulNote {
    Lies lies = Lies::in_circle;
    hazard::FoulObject foul{};
    double outside_m = 0.0; ///< from the edge of the circle to where it may lie; 0 inside
    std::string sentence{};
};

/// Something the boat may touch while she swings.
struct TouchNote {
    hazard::Grade grade = hazard::Grade::danger; ///< danger as charted, caution by doubt
    hazard::ObjectRef object{};
    std::string what{}, basis{};
    double distance_m = 0.0;
    std::optional<double> water_m{}; ///< over it at the lowest tide; nothing where no tide covers it
    geo::Point nearest{};            ///< of its shape; the mark itself where it lies in it
    std::string sentence{};
    bool by_survey =
        false; ///< only the full doubt of the survey allows it; `distance_m` is how far it reaches
};

/// One charted nature of the bottom and what it means to the plan's anchor.
struct NatureNote {
    hazard::BottomNature nature{};
    std::string words{};                              ///< "fine sand"
    bool here = false;                                ///< it may hold at the mark itself; else only near it
    drift::Holding holding = drift::Holding::unknown; ///< the worst of its grounds
    std::string why{}, source{};
};

/// The pull of the wind, as a cross-check beside the multiples of the depth.
struct PullNote {
    double load_n = 0.0;                  ///< ABYC H-40
    std::optional<double> angle_deg{};    ///< nothing: the rope does not reach
    std::optional<double> factor{};       ///< of the holding left at that angle; nothing beyond 15 degrees
    std::optional<double> flat_chain_m{}; ///< all chain: length that still lies flat
    std::optional<double> holding_n{};    ///< by the navy's rule for heavy anchors, for the worst ground
};

/// If the engine stops at the mark and the boat is set straight to the nearest danger as fast as it can be.
struct DeadlineNote {
    std::string danger{};    ///< empty: none within `distance_m`
    double distance_m = 0.0; ///< less its position doubt
    double drift_mps = 0.0;  ///< largest stream + leeway of the fastest kind of boat
    double decide_within_s = 0.0;
};

struct AnchorMark {
    std::string name{};
    geo::Position position{};
    Instant from = Instant::from_unix_seconds(0.0), to = Instant::from_unix_seconds(0.0);
    hazard::Grade grade = hazard::Grade::none_found; ///< the worst of all below
    /// Why the depth to reckon with is not known; empty: it is. Then everything that rests on it is unknown.
    std::string unknown{};
    hazard::DepthBounds bottom; ///< at the mark, own position doubt and movement taken in
    /// The bottom there may have moved so far since its survey: the deepest and the shoalest within it count.
    double moved_m = 0.0;
    std::vector<RopeAtTide> tides;   ///< low and high water while anchored, then of a tide cycle from arrival
    std::optional<double> depth_m{}; ///< to reckon with
    drift::AnchorSea sea{};
    drift::RopeWord word = drift::RopeWord::unknown;
    double paid_out_m = 0.0;
    double swing_m = 0.0;                       ///< radius; of the whole rope where the depth is not known
    std::vector<std::string> unknown_in_circle; ///< unsurveyed, uncovered, unreadable
    std::vector<FoulNote> fouls;                ///< all in the circle, then the nearest beside it
    std::vector<TouchNote> touches;             ///< worst first
    std::vector<NatureNote> natures;            ///< nearest first; empty: none charted near
    drift::Holding holding = drift::Holding::unknown; ///< the worst of them
    std::optional<PullNote> pull{};                   ///< nothing: no load known
    std::optional<DeadlineNote> deadline{};           ///< nothing: depth, stream or wind not known
    std::vector<std::string> sentences;               ///< all of this for people, the gravest first
};

struct AnchorReport {
    plan::Plan plan;
    geo::Plane plane;
    std::vector<CellNote> cells{};
    CalendarDay as_of{};
    double required_m = 0.0; ///< under way; what a danger zone is reckoned with
    std::string required_words{};
    std::string tide_words{};
    std::string wind_words{}; ///< the strongest of it counts at each mark; empty: no wind is stated
    std::vector<std::string> tide_notes{}, stream_notes{}, warnings{}, assumptions{};
    std::vector<AnchorMark> marks{};
    hazard::Grade worst = hazard::Grade::none_found;
    Diagnostics diagnostics{}; ///< worst first
};

/// Runs the job. Failures: as the loaders'; (plan) no mark, no time for one, no [boat.anchor] or bow height,
/// a tide not linked to the datum of the depths at a mark; (data) no mark on any chart.
AnchorReport run_anchor(const plan::Plan& plan);

} // namespace dangerline::jobs
