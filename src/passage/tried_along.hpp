// Which parts of a path tried runs tell of. Private to the room.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/passage/tried.hpp"
#include "passage/judge.hpp"
#include "passage/survey_lines.hpp"

namespace dangerline::passage {

/// The lowest tide a boat meets on a span of the path, above a datum, its clock in doubt; nothing where it is
/// not known.
using LowestTide = std::function<std::optional<double>(const geo::Span&, int datum)>;
LowestTide lowest_met(const Judge& judge);

/// A run counts for a span where the path comes within tried_within_m of it, and where its water, less or
/// more what the tide then and now differ by, floats the boat of this passage: by a sounder draught and
/// squat, by the mere passing of a boat, of which no more is known than that it floated, the draught alone. A
/// run at a higher tide says nothing of a lower one.
class TriedAlong {
  public:
    /// `runs` (null: none) must outlive it.
    TriedAlong(const Track& track, const std::vector<TriedRun>* runs, const Boat& boat);

    /// Only runs after the day an object was found that came within tried_within_m of it count.
    struct Object {
        const geo::Shape* extent = nullptr; ///< null: the bottom as such
        std::optional<CalendarDay> found_on{};
    };
    /// A piece of a path that a run tells of while the tide is at the level, metres above `datum`, or higher.
    struct Part {
        geo::Span span;
        int datum = 0;
        double level_m = 0.0;
        const TriedRun* run = nullptr;
        const TriedPiece* piece = nullptr;
    };
    /// On `spans` (joined), depths there above `datum` (0: no depth, any datum serves).
    std::vector<Part> parts(const Spans& spans, int datum, const Object& object) const;

    struct Proven {
        Spans spans;       ///< joined
        std::string words; ///< "run by A. Nother on 2026-06-01, least water 1.9 m at tide 2.2 m"
    };
    Proven proven(const Spans& spans, int datum, const Object& object, const LowestTide& lowest) const;
    /// Of a line of survey: of the bottom, and only where each object that it names was passed too.
    Proven proven(const SurveyLine& line, const hazard::Hazards& hazards, const LowestTide& lowest) const;

    /// Turns what a run may ease into notes, on the spans it is proven for: cautions that only the doubt of a
    /// survey makes, and bars nobody has sounded for a year. Everything else stays: danger, margin, position,
    /// assumed, and objects that are cautions for another reason than their survey.
    void ease(const hazard::Hazard& h, std::vector<Grading>& gradings, const LowestTide& lowest) const;
    static bool may_ease(const hazard::Hazard& h, std::size_t step, hazard::Grade grade, hazard::Cause cause);
    /// What of the hazard a run must have passed.
    static Object object_of(const hazard::Hazard& h, std::size_t step);

  private:
    struct Along {
        geo::Span span;
        const TriedRun* run;
        const TriedPiece* piece;
    };
    Boat boat_;
    std::vector<Along> along_;
};

} // namespace dangerline::passage
