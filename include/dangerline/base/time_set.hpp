// Sets of instants.
#pragma once

#include <cstddef>
#include <optional>
#include <utility>
#include <vector>

#include "dangerline/base/time.hpp"

namespace dangerline {

/// Half open: `from` belongs to it, `to` does not. Empty where from >= to.
struct Interval {
    Instant from = Instant::from_unix_seconds(0.0);
    Instant to = Instant::from_unix_seconds(0.0);
    double length_s() const { return to - from; }
    bool operator==(const Interval&) const = default;
};

/// A set of instants as half-open intervals, ascending, none empty, no two touching. An immutable value;
/// every operation takes time linear in the intervals of its operands (of_any(): n log n).
class TimeSet {
  public:
    TimeSet() = default;
    /// One interval, or nothing where it is empty.
    explicit TimeSet(const Interval& one);
    /// The union of intervals in any order, empty ones among them; throws std::invalid_argument for an end
    /// that is no number.
    static TimeSet of_any(std::vector<Interval> intervals);

    const std::vector<Interval>& intervals() const& { return intervals_; }
    std::vector<Interval> intervals() && { return std::move(intervals_); } // so that loops over results live
    bool empty() const { return intervals_.empty(); }
    /// Sum of the intervals, seconds.
    double length_s() const;
    bool contains(Instant t) const;
    /// Whether every instant of `other` belongs to this set.
    bool covers(const TimeSet& other) const;
    /// The interval that holds t.
    std::optional<Interval> around(Instant t) const;
    /// The first interval that begins after t.
    std::optional<Interval> next(Instant t) const;

    TimeSet united(const TimeSet& other) const;
    TimeSet common(const TimeSet& other) const;
    TimeSet without(const TimeSet& other) const;
    /// What of `whole` does not belong to the set.
    TimeSet complement(const Interval& whole) const;
    TimeSet shifted(double seconds) const;
    /// Instants with some instant of the set at most `before_s` earlier or `after_s` later: every interval
    /// begins `after_s` sooner and ends `before_s` later. Both at least 0.
    TimeSet grown(double before_s, double after_s) const;
    /// Instants t with all of [t - before_s, t + after_s] in the set (up to its half-open ends): what is left
    /// where a departure may come out so much early or late. Both at least 0.
    TimeSet shrunk(double before_s, double after_s) const;
    /// Without intervals shorter than `seconds`.
    TimeSet at_least(double seconds) const;
    /// Ends moved inwards to whole multiples of `step_s` of UTC; what vanishes is left out.
    TimeSet rounded_inwards(double step_s) const;

    bool operator==(const TimeSet&) const = default;

  private:
    explicit TimeSet(std::vector<Interval> ordered) : intervals_(std::move(ordered)) {}
    std::vector<Interval> intervals_;
};

} // namespace dangerline
