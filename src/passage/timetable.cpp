#include "dangerline/passage/timetable.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace dangerline::passage {

namespace {
constexpr double same_m = 1e-6; // as in Voyage
}

Timetable::Timetable(const Voyage& voyage, Instant departure)
    : voyage_(voyage), reached_{departure}, left_{departure} {
    const auto& cuts = voyage.cuts();
    for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
        reached_.push_back(voyage.after(i, left_.back(), cuts[i + 1] - cuts[i]));
        left_.push_back(voyage.waited(i + 1, reached_.back()));
    }
}

void Timetable::allow(const Voyage& early, const Voyage& late) {
    early_ = std::make_shared<const Timetable>(early, departure());
    late_ = std::make_shared<const Timetable>(late, departure());
}

Instant Timetable::at(double s) const {
    const auto& cuts = voyage_.cuts();
    if (s <= same_m)
        return departure();
    const auto it = std::lower_bound(cuts.begin() + 1, cuts.end() - 1, s - same_m);
    const auto i = static_cast<std::size_t>(it - cuts.begin()) - 1;
    if (s >= cuts[i + 1])
        return reached_[i + 1];
    return voyage_.after(i, left_[i], s - cuts[i]);
}

Instant Timetable::leave(double s) const {
    const auto& cuts = voyage_.cuts();
    const auto it = std::lower_bound(cuts.begin(), cuts.end(), s - same_m);
    if (it != cuts.end() && std::abs(*it - s) <= same_m)
        return left_[static_cast<std::size_t>(it - cuts.begin())];
    return at(s);
}

double Timetable::place_at(Instant t) const {
    const auto& cuts = voyage_.cuts();
    if (t <= departure())
        return 0.0;
    for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
        if (t < left_[i])
            return cuts[i];
        if (t <= reached_[i + 1])
            return cuts[i] + voyage_.gone(i, left_[i], t);
    }
    return cuts.back();
}

std::vector<Timetable::NotHeld> Timetable::not_held() const {
    std::vector<NotHeld> out;
    for (const auto& spell : voyage_.not_held()) {
        const Instant in = leave(spell.span.from), gone = at(spell.span.to);
        if (!(spell.from < gone && spell.to > in))
            continue;
        const geo::Span span{
            std::max(spell.span.from, spell.from > in ? place_at(spell.from) : spell.span.from),
            std::min(spell.span.to, spell.to < gone ? place_at(spell.to) : spell.span.to)};
        const auto same = std::find_if(out.begin(), out.end(), [&](const NotHeld& n) {
            return n.reason == spell.reason && n.bounded == spell.bounded &&
                   span.from <= n.span.to + same_m && n.span.from <= span.to + same_m;
        });
        if (same == out.end())
            out.push_back({span, spell.reason, spell.bounded});
        else
            same->span = {std::min(same->span.from, span.from), std::max(same->span.to, span.to)};
    }
    std::sort(out.begin(), out.end(),
              [](const NotHeld& a, const NotHeld& b) { return a.span.from < b.span.from; });
    return out;
}

double Timetable::held_to() const {
    double to = std::numeric_limits<double>::infinity();
    for (const auto& lost : not_held())
        if (!lost.bounded)
            to = std::min(to, lost.span.from);
    return to;
}

std::vector<sea::Stream> Timetable::streams_met(geo::Span span) const {
    std::vector<sea::Stream> met;
    if (!voyage_.has_streams())
        return met;
    const auto& cuts = voyage_.cuts();
    for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
        if (cuts[i + 1] < span.from || cuts[i] > span.to)
            continue;
        const geo::Span part{std::max(span.from, cuts[i]), std::min(span.to, cuts[i + 1])};
        const double middle = (cuts[i] + cuts[i + 1]) / 2.0;
        const Instant end = leave(part.to);
        // Linear between nodes: a rate is greatest at an end or at a node.
        for (Instant t = at(part.from);;) {
            const auto there = voyage_.stream(middle, t);
            if (!there)
                return {};
            met.push_back(*there);
            if (!(t < end))
                break;
            const double node = std::floor(t.unix_seconds() / stream_node_s + 1.0) * stream_node_s;
            t = std::min(end, Instant::from_unix_seconds(node));
        }
    }
    return met;
}

} // namespace dangerline::passage
