// Speed made good in the stream, piece of track by piece, against time. Private to the room.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "dangerline/passage/voyage.hpp"

namespace dangerline::passage {

/// Between nodes speed made good is linear in time and so is the stream, outside them the boat goes as in
/// still water. Distances and times are the exact integrals of that.
class StreamPieces {
  public:
    StreamPieces(const Track& track, const std::vector<double>& cuts, const std::vector<std::size_t>& legs,
                 const std::vector<double>& still_mps, const Voyage::Settings& settings);

    Instant after(std::size_t piece, Instant begin, double metres) const;
    Instant before(std::size_t piece, Instant end, double metres) const;
    /// The same of many at once, in place; -infinity stays.
    void before(std::size_t piece, std::span<Instant> ends, double metres) const;
    double gone(std::size_t piece, Instant begin, Instant end) const;
    /// Linear between nodes; nothing beside a node where it is not known, and outside.
    std::optional<sea::Stream> stream(std::size_t piece, Instant t) const;
    const std::vector<Voyage::Spell>& spells() const { return spells_; }

  private:
    struct Interval {
        Instant begin, end;
        double at_begin = 0.0; ///< speed there
        double change = 0.0;   ///< of speed, a second
    };
    /// The stretch of linear speed that t lies in; of two that meet there the later (`backward`: the
    /// earlier).
    Interval interval(std::size_t piece, Instant t, bool backward) const;
    /// What is known at a node where the stream is not.
    struct Blind {
        std::string reason{};
        double bound_mps = 0.0;
        bool bounded = false; ///< and held and stemmed with that rate from any side
    };
    /// What the nodes of one piece tell beside what is kept of them.
    struct Nodes {
        std::vector<Blind> blinds;        ///< empty ones where the stream is known; none where all are
        std::vector<double> speed_mps;    ///< made good, not clamped
        std::vector<double> to_right_mps; ///< stream across, where known
    };
    Nodes fill(std::size_t piece, double course_deg, geo::Point middle, const Voyage::Settings& settings);
    void keep_speeds(std::size_t piece, const Nodes& nodes, double sign);
    std::vector<Voyage::Spell> spells_of(std::size_t piece, geo::Span span, const Nodes& nodes) const;

    Instant start_ = Instant::from_unix_seconds(0.0);
    std::size_t nodes_ = 0;
    std::vector<double> still_mps_;
    std::vector<float> made_good_;                    // nodes of piece 0, then of piece 1, ...
    std::vector<std::optional<sea::Stream>> at_node_; // the same
    std::vector<Voyage::Spell> spells_;
};

} // namespace dangerline::passage
