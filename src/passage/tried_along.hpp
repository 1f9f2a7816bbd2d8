// Which parts of a path tried runs tell of. Private to the room.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/passage/tried.hpp"
#include "passage/judge.hpp"

namespace dangerline::passage {

/// A run counts for a span where the path comes within tried_within_m of it, and where its water, less or
/// more what the tide then and now differ by, floats the boat of this passage: by a sounder draught and
/// squat, by the mere passing of a boat, of which no more is known than that it floated, the draught alone. A
/// run at a higher tide says nothing of a lower one.
class TriedAlong {
  public:
    /// `runs` (null: none) and `judge` must outlive it.
    TriedAlong(const Track& track, const std::vector<TriedRun>* runs, const Judge& judge);

    struct Proven {
        Spans spans;       ///< joined
        std::string words; ///< "run by A. Nother on 2026-06-01, least water 1.9 m at tide 2.2 m"
    };
    /// Only runs after the day an object was found that came within tried_within_m of it count.
    struct Object {
        const geo::Shape* extent = nullptr; ///< null: the bottom as such
        std::optional<CalendarDay> found_on{};
    };
    /// What of `spans` (joined) is proven, depths there above `datum` (0: no depth, any datum serves).
    Proven proven(const Spans& spans, int datum, const Object& object) const;

    /// Turns what a run may ease into notes, on the spans it is proven for: cautions that only the doubt of a
    /// survey makes, and bars nobody has sounded for a year. Everything else stays: danger, margin, position,
    /// assumed, and objects that are cautions for another reason than their survey.
    void ease(const hazard::Hazard& h, std::vector<Grading>& gradings) const;

  private:
    struct Along {
        geo::Span span;
        const TriedRun* run;
        const TriedPiece* piece;
    };
    bool floats(const Along& along, const geo::Span& span, int datum) const;
    bool may_ease(const hazard::Hazard& h, const Grading& g) const;
    const Judge& judge_;
    std::vector<Along> along_;
};

} // namespace dangerline::passage
