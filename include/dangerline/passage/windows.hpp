// Every departure of a season: when a route is closed, by what, and which windows are worth offering.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/time_set.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/passage/check.hpp"
#include "dangerline/passage/voyage.hpp"

namespace dangerline::passage {

/// What an offered window survives; all assumptions of this project.
struct Robustness {
    double early_s = 10.0 * 60.0;
    double late_s = 30.0 * 60.0;
    double slower = 0.2; ///< share of the boat's speed that may be missing
    double shortest_s = 30.0 * 60.0;
    double rounding_s = 5.0 * 60.0; ///< ends are rounded inwards to whole multiples
};

/// What the skipper asks beside water: a part of the path where certain hours will not do.
struct Limit {
    std::string what; ///< "dark", "the slip is dry"
    geo::Span span;
    TimeSet closed;
};

struct SeasonAsk {
    Interval departures;
    Robustness robustness{};
    std::vector<Limit> limits{};
    std::optional<double> longest_s{}; ///< of a trip, waits included
};

/// Why departures are closed, or what is named on a window that is not.
struct Reason {
    hazard::Grade grade = hazard::Grade::danger; ///< note for limits
    hazard::Cause cause = hazard::Cause::none;
    hazard::Kind kind = hazard::Kind::depth;
    hazard::ObjectRef object{};
    std::string what{};                      ///< "rock, covers and uncovers", "no tide known", "dark"
    std::string basis{};                     ///< "charted 2.1 m"
    geo::Span span{};                        ///< of the path
    std::optional<double> critical_tide_m{}; ///< above the hazard's datum; nothing: tide does not matter
    std::string station{};                   ///< whose tide counts
    bool limit = false;                      ///< of the plan, not of the water
};

/// Index into Season::reasons; no_reason at the ends of the season.
using ReasonNumber = std::size_t;
inline constexpr ReasonNumber no_reason = static_cast<ReasonNumber>(-1);

/// Departures closed without a break.
struct Closed {
    Interval when;
    ReasonNumber begins = no_reason; ///< what closes it
    ReasonNumber ends = no_reason;   ///< what holds it closed longest
    ReasonNumber most = no_reason;   ///< what closes the largest part of it
};

struct Window {
    Interval when;  ///< rounded inwards
    Interval exact; ///< not rounded
    ReasonNumber opened_by = no_reason, closed_by = no_reason;
    Instant arrives_first = Instant::from_unix_seconds(0.0), arrives_last = arrives_first;
    /// Latest moment to leave the far end for home, for whoever leaves at the window's beginning, limits of
    /// the trip's end included; nothing where the way home is closed on arrival, or not asked.
    std::optional<Instant> turn_back_by{};
    /// The way home is closed from then (or from the arrival) until this.
    std::optional<Instant> stuck_until{};
    std::vector<ReasonNumber> named{}; ///< `assumed`, `position`, `sea`, `survey`, `rule`: never close
};

/// What one step of a hazard does by itself, or what is no hazard (no tide known; `hazard` is then no index).
struct StepShare {
    ReasonNumber reason = no_reason;
    std::size_t hazard = 0, step = 0;
    double share = 0.0; ///< of the season's departures that it forbids alone
    std::optional<ReasonNumber> hidden_by{};
};

/// How little changes an open departure into a closed one.
struct Sensitivity {
    Instant departure = Instant::from_unix_seconds(0.0); ///< the middle of the tightest window
    ReasonNumber reason = no_reason;                     ///< what closes it first, when the tide is lower
    std::optional<double> tide_m{};                      ///< so much less tide
    std::optional<double> late_s{}, early_s{};           ///< so much later, earlier
    std::optional<double> slower{};                      ///< such a share less speed; nothing: not by half
};

/// What would open a route that never works.
struct Opening {
    std::vector<ReasonNumber> always{}; ///< what closes every departure, whatever tide and draught
    std::vector<ReasonNumber> most{};   ///< else what closes most, the largest share first
    std::optional<double> metres{};     ///< so much less draught, or more tide; nothing: not by 10 m
};

struct Season {
    Interval asked;
    std::vector<Reason> reasons;
    TimeSet open; ///< calculated: no danger, nothing unknown, the chart and the tide at their word
    std::vector<Closed> closed;          ///< the rest of `asked`
    std::vector<Window> windows;         ///< offered
    std::vector<Closed> not_offered;     ///< what closes between them, doubts and limits included
    std::vector<StepShare> steps;        ///< the largest share first
    std::optional<Sensitivity> tightest; ///< nothing where no window is offered
    std::optional<Opening> opening;      ///< where `open` or `windows` is empty: of the first that is
};

/// The way back, for turn-back times.
struct WayHome {
    const Track& track;
    const Conditions& conditions;
    double far_m = 0.0; ///< where on the way out the boat turns, path coordinate of the track out
};

/// Makes the voyage of a track whose boat has that share of its speed, good for departures of that interval.
using VoyageMaker = std::function<Voyage(const Track&, double share, const Interval& departures)>;

/// All departures of `ask.departures`, by calculation, not by trying. A departure is closed exactly where
/// check() at it finds danger or unknown; times agree within 0.1 s. Offered windows are closed by `margin`
/// too, and hold for every departure from early_s before to late_s after, at full and at reduced speed, with
/// the tide's doubt.
///
/// Throws what check() throws. `home` null: no turn-back times.
Season season(const Track& track, const VoyageMaker& voyages, const hazard::Hazards& hazards,
              const Conditions& conditions, const SeasonAsk& ask, const WayHome* home = nullptr);

} // namespace dangerline::passage
