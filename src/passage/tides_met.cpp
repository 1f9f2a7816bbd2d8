#include "passage/tides_met.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace dangerline::passage {

Tides Tides::one(const tide::Curve& curve, const tide::DatumChain& datums) {
    Tides tides;
    tide::Station& station = tides.stations.emplace_back();
    station.prediction.curve = curve;
    station.datums = datums;
    tide::Choice choice;
    choice.stations = {0};
    choice.doubt = {0.0, 0.0};
    tides.reaches.push_back({0.0, std::numeric_limits<double>::infinity(), std::move(choice)});
    return tides;
}

TidesMet::TidesMet(const Timetable& timetable, double length_m, const Conditions& conditions)
    : timetable_(timetable), conditions_(conditions) {
    Spans covered, unknown_now;
    for (tide::StationReach reach : conditions.tides.reaches) {
        reach.from_m = std::max(reach.from_m, 0.0);
        reach.to_m = std::min(reach.to_m, length_m);
        if (reach.choice.stations.empty() || reach.to_m < reach.from_m)
            continue;
        covered.push_back({reach.from_m, reach.to_m});
        const Spans now = without_tide(reach, Clock::as_reckoned);
        const Spans soon = without_tide(reach, Clock::doubted);
        unknown_now.insert(unknown_now.end(), now.begin(), now.end());
        unknown_.insert(unknown_.end(), soon.begin(), soon.end());
        reaches_.push_back(std::move(reach));
    }
    geo::join(covered);
    for (const auto& bare : geo::remainder({0.0, length_m}, covered)) {
        unknown_now.push_back(bare);
        unknown_.push_back(bare);
    }
    geo::join(unknown_now);
    geo::join(unknown_);
    known_ = geo::remainder({0.0, length_m}, unknown_now);
}

Instant TidesMet::first(double s, Clock clock) const {
    return clock == Clock::as_reckoned ? timetable_.at(s)
                                       : timetable_.earliest(s) - conditions_.doubts.time_margin_s;
}

Instant TidesMet::last(double s, Clock clock) const {
    return clock == Clock::as_reckoned ? timetable_.leave(s)
                                       : timetable_.latest(s) + conditions_.doubts.time_margin_s;
}

/// Parts of the reach in which the tide is not known at some instant the boat may be there by that clock.
Spans TidesMet::without_tide(const tide::StationReach& reach, Clock clock) const {
    const Instant enter = first(reach.from_m, clock), leave = last(reach.to_m, clock);
    // The first place the boat may not yet have left at t, the last it may have reached.
    const auto place = [&](Instant t, bool last_place) {
        double low = reach.from_m, high = reach.to_m;
        if (clock == Clock::as_reckoned)
            return std::clamp(timetable_.place_at(t), low, high);
        constexpr double near_m = 0.1;
        while (high - low > near_m) {
            const double middle = (low + high) / 2.0;
            const bool beyond = last_place ? first(middle, clock) > t : last(middle, clock) >= t;
            (beyond ? high : low) = middle;
        }
        return last_place ? high : low;
    };
    constexpr double least_m = 1.0; // a wait has no length
    Spans out;
    for (const auto& gap : tide::unknown_there(conditions_.tides.stations, reach.choice, enter, leave)) {
        if (gap.to < enter || gap.from > leave)
            continue;
        geo::Span span{gap.from <= enter ? reach.from_m : place(gap.from, false),
                       gap.to >= leave ? reach.to_m : place(gap.to, true)};
        if (span.to - span.from < least_m && timetable_.leave(span.to) > timetable_.at(span.from))
            span = {std::max(reach.from_m, span.from - least_m), std::min(reach.to_m, span.to + least_m)};
        out.push_back(span);
    }
    return out;
}

Spans TidesMet::doubtful() const {
    Spans out;
    for (const auto& reach : reaches_)
        for (const std::size_t i : reach.choice.stations)
            if (tide::is_doubtful(conditions_.tides.stations.at(i).prediction,
                                  first(reach.from_m, Clock::doubted), last(reach.to_m, Clock::doubted)))
                out.push_back({reach.from_m, reach.to_m});
    geo::join(out);
    return out;
}

const tide::Station* TidesMet::unlinked(geo::Span span, int datum) const {
    for (const auto& reach : reaches_) {
        if (reach.to_m < span.from || reach.from_m > span.to)
            continue;
        for (const std::size_t i : reach.choice.stations)
            if (!conditions_.tides.stations.at(i).datums.offset_to(datum))
                return &conditions_.tides.stations.at(i);
    }
    return nullptr;
}

std::optional<tide::TideThere> TidesMet::furthest(const tide::Choice& choice, int datum, Instant from,
                                                  Instant to, bool highest) const {
    const auto& stations = conditions_.tides.stations;
    const auto ask = [&](Instant begin, Instant end) {
        return highest ? tide::highest_there(stations, choice, datum, begin, end)
                       : tide::lowest_there(stations, choice, datum, begin, end);
    };
    if (auto all = ask(from, to))
        return all;
    // The margin reaches into times without data: what is known of it still counts.
    std::optional<tide::TideThere> best;
    const auto take = [&](Instant begin, Instant end) {
        if (!(begin <= end))
            return;
        const auto part = ask(begin, end);
        if (part && (!best || (highest ? part->height > best->height : part->height < best->height)))
            best = part;
    };
    Instant known = from;
    for (const auto& gap : tide::unknown_there(stations, choice, from, to)) {
        take(known, gap.from);
        known = gap.to;
    }
    take(known, to);
    return best;
}

TideMet TidesMet::to_met(const tide::TideThere& there, const tide::Choice& choice) const {
    const auto& stations = conditions_.tides.stations;
    const auto& doubts = conditions_.doubts;
    const bool approximate = std::any_of(choice.stations.begin(), choice.stations.end(), [&](std::size_t i) {
        const auto& code = stations.at(i).datums.source_code;
        return code && tide::is_approximate(*code);
    });
    return {there.at,
            there.height.metres(),
            std::abs(there.rate_mps),
            std::max(doubts.tide_height_m, choice.doubt.height_m),
            std::max(doubts.tide_time_s, choice.doubt.time_s),
            approximate,
            stations.at(there.station).prediction.curve.is_fixed()};
}

std::vector<TideMet> TidesMet::met(geo::Span span, int datum, Clock clock, bool highest) const {
    std::vector<TideMet> out;
    for (const auto& reach : reaches_) {
        if (reach.to_m < span.from || reach.from_m > span.to)
            continue;
        // A span that leaves the tide's data still has its known part; the rest is graded unknown as a whole.
        Spans known;
        clip_into(known_, {std::max(span.from, reach.from_m), std::min(span.to, reach.to_m)}, known);
        std::optional<tide::TideThere> best;
        for (const auto& piece : known) {
            const auto there =
                furthest(reach.choice, datum, first(piece.from, clock), last(piece.to, clock), highest);
            if (there && (!best || (highest ? there->height > best->height : there->height < best->height)))
                best = there;
        }
        if (best)
            out.push_back(to_met(*best, reach.choice));
    }
    return out;
}

} // namespace dangerline::passage
