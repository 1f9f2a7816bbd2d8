// A hazard: what a charted object may do to a boat, as nested steps.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/quantities.hpp"
#include "dangerline/base/time.hpp"
#include "dangerline/geo/index.hpp"
#include "dangerline/geo/shape.hpp"
#include "dangerline/seabed/surface.hpp"
#include "dangerline/survey/allowance.hpp"
#include "dangerline/survey/dates.hpp"
#include "dangerline/survey/zones.hpp"

namespace dangerline::hazard {

enum class Kind : std::uint8_t { depth, obstacle, rough_water, overhead, regulated, shore, no_data, survey };

/// What a result claims, worst last. `note` is for findings only; a stretch that has nothing but notes is
/// none_found.
enum class Grade : std::uint8_t { none_found, note, caution, unknown, danger };

/// Why something is a caution, in the order findings are ranked.
enum class Cause : std::uint8_t { none, margin, assumed, position, survey, sea, rule };

const char* to_text(Kind kind);
const char* to_text(Grade grade);
const char* to_text(Cause cause); ///< empty for none

/// The object a hazard stands for.
struct ObjectRef {
    std::string lnam; ///< empty for what is no charted object (uncovered water, gaps)
    std::string cls;
    std::string name; ///< OBJNAM, may be empty
    std::string cell;
    bool uncharted{}; ///< newer data have it, or have it so, and the charts do not
};

/// When a step is in force.
enum class InForce : std::uint8_t {
    below,    ///< water over `depth` is less than required
    above,    ///< the tide leaves less than the boat's height under `clearance_m`
    always,   ///< at any tide
    by_stream ///< rough water: by the rate of the stream
};

/// A plain shape and the condition under which it is in force.
struct Step {
    InForce in_force = InForce::below;
    Grade decides = Grade::danger;         ///< what a boat that meets it at the chart's word has found
    Cause cause = Cause::none;             ///< of a caution
    Depth depth = Depth::from_metres(0.0); ///< for `below`; never_covered() where no tide is high enough
    bool depth_known = true;               ///< false: assumed, doubtful, or somewhere in a range
    double clearance_m = 0.0;              ///< for `above`, over the object's own high-water datum
    /// Where given, only a line that passes within so many metres meets this step, whatever its corridor.
    std::optional<double> within_m;
    std::shared_ptr<const geo::Shape> extent;
    std::string basis; ///< "charted 2.1 m", "height not known", for the sentence
    /// The bottom may have moved so far since its survey; widens the wide reading of this step alone.
    double moved_m = 0.0;
};

/// Of a visible fixed mark beside the line: no caution where it is met by daylight.
inline bool is_seen_by_day(const Step& step) {
    return step.in_force == InForce::always && step.decides == Grade::caution && step.cause == Cause::margin;
}

struct Hazard {
    Kind kind = Kind::depth;
    ObjectRef object;
    std::string what;   ///< "rock, covers and uncovers", "depth area 0-5.4 m"
    std::string remark; ///< INFORM of the chart, quoted
    std::vector<Step> steps;
    survey::Allowance allowance;
    std::size_t cell = 0;   ///< index into Hazards::cells
    int datum = 0;          ///< VERDAT of its depth, or of its clearance
    int category = 0;       ///< CATWAT of rough water, CATSLC of a shoreline construction; 0 where missing
    bool uncovered = false; ///< all water that no chart covers
    /// Bottom between charted features (depth areas, soundings): what only survey doubt makes of it is said
    /// once per quality zone.
    bool between = false;
    bool mark = false; ///< visible fixed mark
    /// A bar surveyed so long ago that it is unknown, unless somebody ran it since.
    bool old_bar = false;
    /// Of a single object: when it was found or reported. A run of that day or before tells nothing of it.
    /// Nothing: any run does.
    std::optional<CalendarDay> found_on{};
    geo::Box box; ///< of all steps
    /// The bottom of a depth area between its charted depths, where one was made: tells what a depth rests
    /// on.
    std::shared_ptr<const seabed::Surface> surface{};
    survey::Facts facts{}; ///< dates and technique of the object's own
};

/// Whoever passes a charted mark sees where it stands; one that no chart shows is passed unawares, so the
/// doubt of its place counts.
inline bool stands_as_charted(const Hazard& hazard, const Step& step) {
    return step.within_m && !hazard.object.uncharted;
}

/// What the check needs to know of a cell.
struct CellRef {
    std::string name;
    int edition = 0;
    int update = 0;
    std::string issued;
    int scale = 0;
    int sounding_datum = 0;
    std::vector<std::string> distrust;
};

struct Hazards {
    std::vector<CellRef> cells;
    std::vector<Hazard> all;
    std::vector<survey::QualityZone> zones;
    std::shared_ptr<const geo::BoxIndex> index; ///< over Hazard::box, by number
    /// Of each cell as it was read, zones under better cells among them.
    std::shared_ptr<const std::vector<survey::QualityZones>> quality{};
};

} // namespace dangerline::hazard
