// The breakdown job: if the engine stops anywhere along a route, how long is there?
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/jobs/drift.hpp"
#include "dangerline/passage/route.hpp"

namespace dangerline::jobs {

/// Boats a run and points a route (assumptions of this project): minutes in hand are a 5 % quantile.
inline constexpr std::uint32_t breakdown_boats = 300;
inline constexpr std::size_t breakdown_points = 240;

/// The engine stops here; of the kinds of boat the one with the least time.
struct BreakdownPoint {
    double s = 0.0; ///< path coordinate
    Instant at = Instant::from_unix_seconds(0.0);
    geo::Point point{};
    std::string boat;
    double early_s = 0.0, median_s = 0.0; ///< to danger, or to where nothing is known
    double danger_share = 0.0, unknown_share = 0.0;
    std::optional<std::size_t>
        hazard{};         ///< what the earliest meet; nothing: nothing is known, or no danger met
    double moved_m = 0.0; ///< its zone is so much wider there, by its moving bottom
    /// Why nothing is known where that comes before any danger: "stream not known", the unknown water by its
    /// name, or why the boat may not be here then; else empty.
    std::string why{};
    std::optional<double> help_s{}; ///< the soonest help; nothing: the plan names none
};

/// Part of the route with about the same time in hand.
struct BreakdownStretch {
    geo::Span span;
    Instant from = Instant::from_unix_seconds(0.0), to = Instant::from_unix_seconds(0.0);
    std::size_t least = 0;      ///< number of its point with the least time
    std::size_t band = 0;       ///< see band_words()
    std::string why{};          ///< of band 0: why nothing is known; empty: it lies in a danger zone
    bool help_too_late = false; ///< at some point help comes after the minutes in hand
};
/// "no time in hand", "under 10 min", ... "no danger met".
std::string band_words(std::size_t band);

/// A second means tried at the point with the least time.
struct SecondTried {
    std::string means;                   ///< "oars 1.5 kn for 40 min"
    std::optional<double> heading_deg{}; ///< the best of sixteen; nothing for a drogue
    double early_s = 0.0, median_s = 0.0;
};

struct HelpTime {
    std::string name;
    double metres = 0.0, seconds = 0.0; ///< alarm, muster and the straight way there
};

struct BrokenRoute {
    passage::Track track;
    Instant departure = Instant::from_unix_seconds(0.0);
    std::vector<BreakdownPoint> points{};
    std::vector<BreakdownStretch> stretches{};
    /// Number of the point with the least time with any time in hand; nothing where none has.
    std::optional<std::size_t> least{};
    std::vector<HelpTime> help{}; ///< to that point, soonest first
    std::vector<SecondTried> second{};
    std::vector<std::string> sentences{};
    std::vector<std::string> warnings{};
};

struct BreakdownReport {
    DriftReport base; ///< without marks
    std::vector<BrokenRoute> routes{};
};

/// What a stretch leaves and what comes then: "under 10 min, least 3 min: rock; help comes too late".
std::string stretch_words(const BrokenRoute& route, const BreakdownStretch& stretch, const DriftReport& base);

/// Failures: as run_passage() and run_drift().
BreakdownReport run_breakdown(const plan::Plan& plan, const std::optional<std::string>& depart);

} // namespace dangerline::jobs
