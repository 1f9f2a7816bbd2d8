#include "dangerline/base/time_set.hpp"

#include <algorithm>
#include <cmath>
#include <stdexcept>

namespace dangerline {

namespace {

/// Puts an interval behind those already there; it may touch or overlap the last one only.
void append(std::vector<Interval>& to, const Interval& one) {
    if (!(one.from < one.to))
        return;
    if (!to.empty() && one.from <= to.back().to)
        to.back().to = std::max(to.back().to, one.to);
    else
        to.push_back(one);
}

} // namespace

TimeSet::TimeSet(const Interval& one) {
    append(intervals_, one);
}

TimeSet TimeSet::of_any(std::vector<Interval> intervals) {
    for (const auto& i : intervals)
        if (std::isnan(i.from.unix_seconds()) || std::isnan(i.to.unix_seconds()))
            throw std::invalid_argument("an interval whose end is no number");
    const auto earlier = [](const Interval& a, const Interval& b) { return a.from < b.from; };
    if (!std::is_sorted(intervals.begin(), intervals.end(), earlier))
        std::sort(intervals.begin(), intervals.end(), earlier);
    std::vector<Interval> out;
    out.reserve(intervals.size());
    for (const auto& i : intervals)
        append(out, i);
    return TimeSet(std::move(out));
}

double TimeSet::length_s() const {
    double sum = 0.0;
    for (const auto& i : intervals_)
        sum += i.length_s();
    return sum;
}

std::optional<Interval> TimeSet::around(Instant t) const {
    const auto after = std::upper_bound(intervals_.begin(), intervals_.end(), t,
                                        [](Instant at, const Interval& i) { return at < i.from; });
    if (after == intervals_.begin() || !(t < std::prev(after)->to))
        return std::nullopt;
    return *std::prev(after);
}

std::optional<Interval> TimeSet::next(Instant t) const {
    const auto after = std::upper_bound(intervals_.begin(), intervals_.end(), t,
                                        [](Instant at, const Interval& i) { return at < i.from; });
    return after == intervals_.end() ? std::nullopt : std::optional(*after);
}

bool TimeSet::contains(Instant t) const {
    return around(t).has_value();
}

bool TimeSet::covers(const TimeSet& other) const {
    auto mine = intervals_.begin();
    for (const auto& theirs : other.intervals_) {
        while (mine != intervals_.end() && mine->to < theirs.to)
            ++mine;
        if (mine == intervals_.end() || theirs.from < mine->from)
            return false;
    }
    return true;
}

TimeSet TimeSet::united(const TimeSet& other) const {
    std::vector<Interval> out;
    out.reserve(intervals_.size() + other.intervals_.size());
    auto a = intervals_.begin(), b = other.intervals_.begin();
    while (a != intervals_.end() || b != other.intervals_.end()) {
        const bool first = b == other.intervals_.end() || (a != intervals_.end() && a->from < b->from);
        append(out, first ? *a++ : *b++);
    }
    return TimeSet(std::move(out));
}

TimeSet TimeSet::common(const TimeSet& other) const {
    std::vector<Interval> out;
    auto a = intervals_.begin(), b = other.intervals_.begin();
    while (a != intervals_.end() && b != other.intervals_.end()) {
        append(out, {std::max(a->from, b->from), std::min(a->to, b->to)});
        if (a->to < b->to)
            ++a;
        else
            ++b;
    }
    return TimeSet(std::move(out));
}

TimeSet TimeSet::without(const TimeSet& other) const {
    std::vector<Interval> out;
    auto b = other.intervals_.begin();
    for (const auto& a : intervals_) {
        Instant from = a.from;
        while (b != other.intervals_.end() && b->to <= from)
            ++b;
        for (auto c = b; c != other.intervals_.end() && c->from < a.to; ++c) {
            append(out, {from, c->from});
            from = std::max(from, c->to);
        }
        append(out, {from, a.to});
    }
    return TimeSet(std::move(out));
}

TimeSet TimeSet::complement(const Interval& whole) const {
    return TimeSet(whole).without(*this);
}

TimeSet TimeSet::shifted(double seconds) const {
    std::vector<Interval> out;
    out.reserve(intervals_.size());
    for (const auto& i : intervals_)
        append(out, {i.from + seconds, i.to + seconds});
    return TimeSet(std::move(out));
}

TimeSet TimeSet::grown(double before_s, double after_s) const {
    std::vector<Interval> out;
    out.reserve(intervals_.size());
    for (const auto& i : intervals_)
        append(out, {i.from - after_s, i.to + before_s});
    return TimeSet(std::move(out));
}

TimeSet TimeSet::shrunk(double before_s, double after_s) const {
    std::vector<Interval> out;
    for (const auto& i : intervals_)
        append(out, {i.from + before_s, i.to - after_s});
    return TimeSet(std::move(out));
}

TimeSet TimeSet::at_least(double seconds) const {
    std::vector<Interval> out;
    for (const auto& i : intervals_)
        if (i.length_s() >= seconds)
            out.push_back(i);
    return TimeSet(std::move(out));
}

TimeSet TimeSet::rounded_inwards(double step_s) const {
    std::vector<Interval> out;
    for (const auto& i : intervals_) {
        const double from = std::ceil(i.from.unix_seconds() / step_s) * step_s;
        const double to = std::floor(i.to.unix_seconds() / step_s) * step_s;
        if (from < to)
            out.push_back({Instant::from_unix_seconds(from), Instant::from_unix_seconds(to)});
    }
    return TimeSet(std::move(out));
}

} // namespace dangerline
