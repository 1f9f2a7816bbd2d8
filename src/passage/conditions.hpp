// What may close a departure: parts of the path, each with the times at which it is closed. Private to the
// room.
#pragma once

#include <memory>
#include <optional>
#include <vector>

#include "dangerline/passage/windows.hpp"
#include "passage/contacts.hpp"
#include "passage/season_tides.hpp"
#include "passage/tried_along.hpp"

namespace dangerline::passage {

/// The shore stretches move with the lowest tide while the boat is near them: one case for each band of it in
/// which they stay as they are.
struct TideBand {
    geo::Span span;       ///< of the path, where the tide counts
    TimeSet lower, upper; ///< instants at which it is below the band, and below its top
    bool topmost = false; ///< no top
};
struct LandingCase {
    std::optional<TideBand> start, end; ///< nothing: any
};
inline constexpr std::size_t every_case = static_cast<std::size_t>(-1);

/// A boat that is on `span` at an instant of the set has met it.
struct Condition {
    /// `departures`: the set holds departures of one voyage; `spell`: see Voyage::Spell.
    enum class When { always, below, above, during, spell, departures };
    When when = When::always;
    geo::Span span;
    std::size_t source = 0; ///< of the tide
    double level_m = 0.0;   ///< of the tide, above the source's datum
    std::shared_ptr<const TimeSet> during{};
    ReasonNumber reason = no_reason;
    /// Only for departures of that LandingCase, and then at the tide's word: what doubt makes of a beach is
    /// another beach.
    std::size_t landing = every_case;
    bool charted = true;              ///< false: closes offered windows only
    std::size_t hazard = 0, step = 0; ///< of what has a hazard
    bool of_hazard = false;
};

/// Rough water of a charted span: by the streams a voyage meets there.
struct RoughWater {
    geo::Span span;
    int category = 0;
    ReasonNumber reason = no_reason;
    std::size_t landing = every_case, hazard = 0, step = 0;
};

/// A run tells of the span while the tide is at the level above the datum, or higher.
struct TidePart {
    geo::Span span;
    int datum = 0;
    double level_m = 0.0;
};

/// A bar nobody sounded for a year, along which somebody ran.
struct TriedBar {
    Condition condition; ///< when it closes depends on the voyage
    std::vector<TidePart> parts;
};

/// A cause that is named on windows and closes none.
struct Named {
    Condition condition;
    hazard::Cause cause = hazard::Cause::none;
    std::optional<SurveyLine> line{}; ///< of a quality zone
};

struct ConditionSet {
    std::vector<Reason> reasons;
    std::vector<LandingCase> landings;
    std::vector<Condition> all;     ///< danger, unknown, margin
    std::vector<Condition> visible; ///< without what others hide on the whole of its span
    std::vector<Named> named;
    std::vector<RoughWater> rough;
    std::vector<TriedBar> bars;
};

/// Everything a track meets. Lines of survey are looked for at the lowest tide of all times, so that they
/// hold for every departure; not at all without `name_survey`.
ConditionSet conditions_of(const Track& track, bool name_survey, const hazard::Hazards& hazards,
                           const Conditions& conditions, const TriedAlong& tried, const SeasonAsk& ask,
                           SeasonTides& tides);

/// Parts of the path that a voyage can't be sure to hold or stem. Its reasons are added to `reasons`.
std::vector<Condition> conditions_of(const Voyage& voyage, std::vector<Reason>& reasons);

/// Of conditions `below` with one source and landing case: what is left where the highest level of each place
/// alone counts. Everything else is passed through.
std::vector<Condition> without_hidden(const std::vector<Condition>& all);

} // namespace dangerline::passage
