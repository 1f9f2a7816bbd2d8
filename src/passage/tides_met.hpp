// The tides that a boat meets along its track, by place and time.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "dangerline/passage/check.hpp"
#include "passage/spans.hpp"

namespace dangerline::passage {

/// How the boat's clock is taken.
enum class Clock : std::uint8_t {
    as_reckoned,
    doubted ///< early or late by the clock margin and by a stream of which only a bound is known
};

/// The tide that counts for a span of the path.
struct TideMet {
    Instant at = Instant::from_unix_seconds(0.0);
    double metres = 0.0;            ///< above the hazard's own datum
    double rate_mps = 0.0;          ///< size of rise or fall then
    double height_doubt_m = 0.0;    ///< 95 %, of the stations that count there
    double time_doubt_s = 0.0;      ///< 95 %, of their clocks
    bool approximate_datum = false; ///< of one of these stations
    bool fixed = false;             ///< the same at any time
};

/// Tides, timetable and the clock margin of the conditions brought together. Refers to them; they must
/// outlive it.
class TidesMet {
  public:
    TidesMet(const Timetable& timetable, double length_m, const Conditions& conditions);

    /// Where the tide is not known at some instant within the clock margin of the boat's; joined.
    const Spans& unknown() const { return unknown_; }
    /// Where it is known at the boat's own time; joined.
    const Spans& known() const { return known_; }
    /// Where half-cosine is doubtful for a station that counts within the clock margin; joined.
    Spans doubtful() const;
    /// The first station that counts on the span and is not linked to the datum; null where all are.
    const tide::Station* unlinked(geo::Span span, int datum) const;
    /// One for each choice of stations on the span: the lowest (highest) above `datum`, entry and exit
    /// by that clock, as far as the tide is known. Choices with a station not linked to that datum
    /// give none.
    std::vector<TideMet> met(geo::Span span, int datum, Clock clock, bool highest) const;
    /// Reaches of the track: ends within it, none without stations.
    const std::vector<tide::StationReach>& reaches() const { return reaches_; }

  private:
    Spans without_tide(const tide::StationReach& reach, Clock clock) const;
    Instant first(double s, Clock clock) const;
    Instant last(double s, Clock clock) const;
    std::optional<tide::TideThere> furthest(const tide::Choice& choice, int datum, Instant from, Instant to,
                                            bool highest) const;
    TideMet to_met(const tide::TideThere& there, const tide::Choice& choice) const;

    const Timetable& timetable_;
    const Conditions& conditions_;
    std::vector<tide::StationReach> reaches_;
    Spans known_, unknown_;
};

} // namespace dangerline::passage
