// When a boat that leaves at a given instant is where: speeds, waits and the stream it is carried by.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "dangerline/passage/route.hpp"
#include "dangerline/sea/stream.hpp"

namespace dangerline::passage {

/// A boat is never reckoned slower than this over the ground; where it would be, see Voyage::Spell.
inline constexpr double least_made_good_mps = 0.25;
/// A leg counts as held while the stream across it takes up no more than this share of the boat's speed.
inline constexpr double most_crabbing = 0.95;
/// The stream is asked for at the middle of pieces of the track no longer than this, metres (assumption of
/// this project), every stream_node_s seconds; between these times it is linear.
inline constexpr double stream_piece_m = 926.0;
inline constexpr double stream_node_s = 600.0;

/// How a boat of `speed_mps` through the water makes good a course in a stream.
struct MadeGood {
    bool possible = false;   ///< false: the stream across is stronger than the boat
    double steer_deg = 0.0;  ///< course to steer through the water, true
    double speed_mps = 0.0;  ///< over the ground along the course; may be negative
    double crab_share = 0.0; ///< stream across over boat speed, 0 or more
};
/// Course in degrees true. Formula: plane triangle of speeds.
MadeGood make_good(double course_deg, double speed_mps, const sea::Stream& stream);

struct Wait {
    std::size_t place = 0;        ///< number of the place in the route; the first can't be waited at
    double seconds = 0.0;         ///< so long at least
    std::vector<Instant> until{}; ///< and then until the next of these, ascending; empty: no such time
};

/// One track with its speeds, waits and streams. Path coordinate s as in Track; a wait is a jump in time at
/// its place: `reach` is the first instant at s, `leave` the last. Immutable; queries may run on many
/// threads, copies share their data; the field of streams is asked in the constructor only. Speed made good
/// depends on place and time alone and is never below least_made_good_mps, so later departures arrive later
/// (never earlier, with Wait::until).
class Voyage {
  public:
    struct Settings {
        std::vector<Wait> waits{};
        /// Null: speeds of the route are over the ground.
        const sea::StreamField* streams = nullptr;
        /// Streams hold for these times; outside them they are not known.
        Instant from = Instant::from_unix_seconds(0.0), to = Instant::from_unix_seconds(0.0);
        double speed_factor = 1.0; ///< on all speeds of the route
        /// Largest rate where the stream is not known: `early` boats are carried, `late` ones held back by
        /// it. Where the field has a larger bound of its own that counts.
        std::optional<double> rate_max_mps{};
        enum class Luck { none, early, late } luck = Luck::none;
    };
    /// Throws Failure (plan) for a wait at no place of the route or at its start, and for two at one place.
    Voyage(const Track& track, const Settings& settings);
    /// Without waits and streams.
    explicit Voyage(const Track& track) : Voyage(track, Settings{}) {}

    double length() const;
    Instant reach(double s, Instant departure) const;
    Instant leave(double s, Instant departure) const;
    /// Latest departure (supremum) that reaches s by t; -infinity where none does.
    Instant departure_reaching(double s, Instant t) const;
    /// Earliest departure (infimum) that is not gone from s before t; -infinity where all are.
    Instant departure_leaving(double s, Instant t) const;
    /// The same of many times at once, in place, several times sooner than one by one.
    void departures_reaching(double s, std::span<Instant> times) const;
    void departures_leaving(double s, std::span<Instant> times) const;

    /// Where a leg can't be held or stemmed, or the stream is not known: rectangles of path and time. A boat
    /// that meets one is not where this says, so everything from there on is unknown. Met is what lies
    /// between leave(span.from) and reach(span.to): who waits at a mark has no leg to hold. These departures
    /// are those after departure_reaching(span.to, from) and before departure_leaving(span.from, to).
    struct Spell {
        geo::Span span;
        Instant from = Instant::from_unix_seconds(0.0), to = Instant::from_unix_seconds(0.0);
        std::string reason;
        /// Only not known, and with the largest rate it can have the leg is held and stemmed: arrivals are an
        /// interval then.
        bool bounded = false;
    };
    const std::vector<Spell>& not_held() const;

    /// The stream at s and t as the voyage takes it; nothing where not known or not asked for.
    std::optional<sea::Stream> stream(double s, Instant t) const;
    bool has_streams() const;
    /// Whether every departure takes the same time to every place: no streams, no Wait::until.
    bool steady() const;

    /// Path coordinates at which something changes: ends of pieces. First 0, last length().
    const std::vector<double>& cuts() const;
    /// From the beginning of piece i at `begin` to `metres` further, at most its length.
    Instant after(std::size_t i, Instant begin, double metres) const;
    /// Metres gone in piece i between two instants, at most its length.
    double gone(std::size_t i, Instant begin, Instant t) const;
    /// The end of a wait at cuts()[i] that begins at t; t itself where there is none.
    Instant waited(std::size_t i, Instant t) const;

  private:
    struct Data;
    std::shared_ptr<const Data> data_;
};

} // namespace dangerline::passage
