// When the boat is where, at one departure.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/passage/voyage.hpp"

namespace dangerline::passage {

class Timetable {
  public:
    /// Speeds of the route are over the ground.
    Timetable(const Track& track, Instant departure) : Timetable(Voyage(track), departure) {}
    Timetable(const Voyage& voyage, Instant departure);
    Instant departure() const { return reached_.front(); }
    /// At the end of the path.
    Instant arrival() const { return reached_.back(); }
    /// The first instant at s, and the last; apart only where the boat waits.
    Instant at(double s) const;
    Instant leave(double s) const;
    /// The same for a boat that an unknown stream, of which a largest rate is stated, carries or holds back.
    Instant earliest(double s) const { return early_ ? early_->at(s) : at(s); }
    Instant latest(double s) const { return late_ ? late_->leave(s) : leave(s); }
    /// Voyages of the same track and waits, with Luck::early and Luck::late.
    void allow(const Voyage& early, const Voyage& late);
    /// Path coordinate at a time; clamped to the ends.
    double place_at(Instant t) const;

    /// Where the boat can't be where this says, and why; joined. What is `bounded` only makes its time there
    /// an interval.
    struct NotHeld {
        geo::Span span;
        std::string reason;
        bool bounded = false;
    };
    std::vector<NotHeld> not_held() const;
    /// Path coordinate from which on nobody knows when the boat is where: the first of NotHeld that is not
    /// bounded; +infinity where there is none.
    double held_to() const;

    /// The streams met on the span, at entries, exits and whole nodes of time between, where a rate is
    /// greatest; empty where any of it is not known.
    std::vector<sea::Stream> streams_met(geo::Span span) const;
    const Voyage& voyage() const { return voyage_; }

  private:
    Voyage voyage_;
    std::vector<Instant> reached_, left_; // at each cut of the voyage
    std::shared_ptr<const Timetable> early_, late_;
};

} // namespace dangerline::passage
