#include "passage/season_tides.hpp"

#include <algorithm>
#include <cmath>

#include "dangerline/base/parallel.hpp"
#include "dangerline/geo/reach.hpp"

namespace dangerline::passage {

namespace {

/// Nodes no further apart than this carry the curve of doubt too.
constexpr double node_s = 600.0;

struct Doubted {
    double height_m, rate_mps;
};

/// h + sign·√(a² + (b·h')²) and its rate.
Doubted doubted_at(double height_m, double rate_mps, double bend_mps2, const tide::StationDoubt& doubt,
                   double sign) {
    const double by_time = rate_mps * doubt.time_s;
    const double size = std::hypot(doubt.height_m, by_time);
    const double change = size > 0.0 ? by_time * bend_mps2 * doubt.time_s / size : 0.0;
    return {height_m + sign * size, rate_mps + sign * change};
}

tide::Piece doubted_piece(const tide::Piece& piece, const tide::Curve& curve, const tide::StationDoubt& doubt,
                          double sign) {
    const std::size_t parts =
        static_cast<std::size_t>(std::max(1.0, std::ceil(piece.step_s / node_s - 1e-9)));
    const std::size_t nodes = (piece.height_m.size() - 1) * parts + 1;
    tide::Piece out{piece.start, piece.step_s / static_cast<double>(parts), {}, {}};
    std::vector<double> height(nodes), rate(nodes);
    for (std::size_t i = 0; i < nodes; ++i) {
        const Instant t = piece.start + out.step_s * static_cast<double>(i);
        const bool own = i % parts == 0;
        height[i] = own ? piece.height_m[i / parts] : curve.height(t)->metres();
        rate[i] = own ? piece.rate_mps[i / parts] : *curve.rate(t);
    }
    for (std::size_t i = 0; i < nodes; ++i) {
        const std::size_t a = i > 0 ? i - 1 : i, b = i + 1 < nodes ? i + 1 : i;
        const double bend = (rate[b] - rate[a]) / (out.step_s * static_cast<double>(b - a));
        const Doubted d = doubted_at(height[i], rate[i], bend, doubt, sign);
        out.height_m.push_back(d.height_m);
        out.rate_mps.push_back(d.rate_mps);
    }
    return out;
}

std::vector<Interval> intervals_of(const std::vector<tide::TimeSpan>& spans) {
    std::vector<Interval> out;
    out.reserve(spans.size());
    for (const auto& s : spans)
        out.push_back({s.from, s.to});
    return out;
}

} // namespace

tide::Curve doubted(const tide::Curve& curve, const tide::StationDoubt& doubt, double sign) {
    if (curve.is_fixed()) {
        const Instant any = Instant::from_unix_seconds(0.0);
        return tide::Curve::fixed(
            TideHeight::from_metres(curve.height(any)->metres() + sign * doubt.height_m), curve.note());
    }
    std::vector<tide::Piece> pieces;
    for (const auto& piece : curve.pieces())
        pieces.push_back(doubted_piece(piece, curve, doubt, sign));
    return tide::Curve::from_pieces(std::move(pieces), curve.valid_from(), curve.valid_to(), curve.note());
}

SeasonTides::SeasonTides(const Conditions& conditions, double length_m, const Interval& times)
    : conditions_(conditions), times_(times), always_(times) {
    std::vector<geo::Span> covered;
    for (tide::StationReach reach : conditions.tides.reaches) {
        reach.from_m = std::max(reach.from_m, 0.0);
        reach.to_m = std::min(reach.to_m, length_m);
        if (reach.choice.stations.empty() || reach.to_m < reach.from_m)
            continue;
        covered.push_back({reach.from_m, reach.to_m});
        reaches_.push_back(std::move(reach));
    }
    geo::join(covered);
    bare_ = geo::remainder({0.0, length_m}, covered);
}

bool SeasonTides::linked(std::size_t reach, int datum) const {
    const auto& stations = reaches_[reach].choice.stations;
    return std::all_of(stations.begin(), stations.end(), [&](std::size_t i) {
        return conditions_.tides.stations.at(i).datums.offset_to(datum).has_value();
    });
}

std::size_t SeasonTides::source(std::size_t reach, int datum) {
    const auto& choice = reaches_[reach].choice;
    const tide::StationDoubt doubt{std::max(conditions_.doubts.tide_height_m, choice.doubt.height_m),
                                   std::max(conditions_.doubts.tide_time_s, choice.doubt.time_s)};
    for (std::size_t i = 0; i < sources_.size(); ++i)
        if (sources_[i].stations == choice.stations && sources_[i].doubt == doubt &&
            sources_[i].datum == datum)
            return i;
    Source out{choice.stations, doubt, datum, {}, {}, {}};
    bool approximate = tide::is_approximate(datum);
    for (const std::size_t i : choice.stations)
        if (const auto& code = conditions_.tides.stations.at(i).datums.source_code)
            approximate = approximate || tide::is_approximate(*code);
    for (const std::size_t i : choice.stations) {
        const auto& station = conditions_.tides.stations.at(i);
        const auto& curve = station.prediction.curve;
        out.members.push_back({curve, doubted(curve, doubt, -1.0), doubted(curve, doubt, 1.0),
                               station.datums.offset_to(datum).value(),
                               approximate ? tide::approximate_datum_doubt_m : 0.0});
    }
    sources_.push_back(std::move(out));
    return sources_.size() - 1;
}

std::string SeasonTides::names(std::size_t reach) const {
    std::string words;
    for (const std::size_t i : reaches_[reach].choice.stations) {
        const auto& name = conditions_.tides.stations.at(i).name;
        words += (words.empty() ? "" : " or ") + (name.empty() ? "station " + std::to_string(i + 1) : name);
    }
    return words;
}

/// Not by the boat's own clock in doubt.
TimeSet SeasonTides::worked_out(const Source& source, double level_m, Reading reading, bool below) const {
    const bool less = reading == Reading::doubted;
    TimeSet all;
    for (const Member& member : source.members) {
        const auto& curve = !less ? member.curve : below ? member.lower : member.higher;
        const double doubt_m = less ? member.approximate_m : 0.0;
        // A tide just at the level covers a rock; what stands above a cable's clearance does so too.
        const auto level = TideHeight::from_metres(level_m - member.offset_m + (below ? doubt_m : -doubt_m));
        auto found = curve.below(level, times_.from, times_.to);
        TimeSet spans = TimeSet::of_any(intervals_of(found.spans));
        if (!below)
            spans = spans.united(TimeSet::of_any(intervals_of(found.unknown))).complement(times_);
        all = source.members.size() == 1 ? std::move(spans) : all.united(spans);
    }
    return all;
}

void SeasonTides::prepare_below(const std::vector<Level>& levels, Reading reading) {
    const Reading first = reading == Reading::margin ? Reading::doubted : reading;
    std::vector<Level> wanted;
    for (const auto& one : levels)
        if (!sources_[one.source].below.contains({one.level_m, static_cast<int>(first)}))
            wanted.push_back(one);
    const auto key = [](const Level& one) { return std::pair(one.source, one.level_m); };
    std::sort(wanted.begin(), wanted.end(), [&](const Level& a, const Level& b) { return key(a) < key(b); });
    wanted.erase(std::unique(wanted.begin(), wanted.end(),
                             [&](const Level& a, const Level& b) { return key(a) == key(b); }),
                 wanted.end());
    std::vector<TimeSet> made(wanted.size());
    parallel_for(wanted.size(), [&](std::size_t i) {
        made[i] = worked_out(sources_[wanted[i].source], wanted[i].level_m, first, true);
    });
    for (std::size_t i = 0; i < wanted.size(); ++i)
        sources_[wanted[i].source].below.emplace(std::pair(wanted[i].level_m, static_cast<int>(first)),
                                                 std::move(made[i]));
}

const TimeSet& SeasonTides::in_force(std::map<std::pair<double, int>, TimeSet>& known, const Source& source,
                                     double level_m, Reading reading, bool below) const {
    const auto key = std::pair(level_m, static_cast<int>(reading));
    if (const auto found = known.find(key); found != known.end())
        return found->second;
    if (reading == Reading::margin) {
        const double margin = conditions_.doubts.time_margin_s;
        return known
            .emplace(key, in_force(known, source, level_m, Reading::doubted, below).grown(margin, margin))
            .first->second;
    }
    return known.emplace(key, worked_out(source, level_m, reading, below)).first->second;
}

const TimeSet& SeasonTides::below(std::size_t source, double level_m, Reading reading) {
    return in_force(sources_[source].below, sources_[source], level_m, reading, true);
}

const TimeSet& SeasonTides::above(std::size_t source, double level_m, Reading reading) {
    return in_force(sources_[source].above, sources_[source], level_m, reading, false);
}

std::optional<double> SeasonTides::lowest(std::size_t source, Instant from, Instant to) const {
    std::optional<double> least;
    for (const Member& member : sources_[source].members) {
        const auto found = member.curve.lowest(from, to);
        if (!found)
            return std::nullopt;
        const double metres = found->height.metres() + member.offset_m;
        least = std::min(least.value_or(metres), metres);
    }
    return least;
}

std::optional<double> SeasonTides::lowest(const geo::Span& span, int datum,
                                          const std::function<Interval(const geo::Span&)>& when) const {
    std::optional<double> least;
    for (const auto& reach : reaches_) {
        if (reach.to_m < span.from || reach.from_m > span.to)
            continue;
        const Interval there = when({std::max(span.from, reach.from_m), std::min(span.to, reach.to_m)});
        const auto found =
            tide::lowest_there(conditions_.tides.stations, reach.choice, datum, there.from, there.to);
        if (!found)
            return std::nullopt;
        least = std::min(least.value_or(found->height.metres()), found->height.metres());
    }
    return least;
}

TimeSet SeasonTides::unknown(std::size_t reach) const {
    const double margin = conditions_.doubts.time_margin_s;
    return TimeSet::of_any(intervals_of(tide::unknown_there(conditions_.tides.stations,
                                                            reaches_[reach].choice, times_.from, times_.to)))
        .grown(margin, margin);
}

TimeSet SeasonTides::doubtful(std::size_t reach) const {
    const double margin = conditions_.doubts.time_margin_s;
    std::vector<Interval> all;
    for (const std::size_t i : reaches_[reach].choice.stations)
        for (const auto& span : conditions_.tides.stations.at(i).prediction.doubtful_shape)
            all.push_back({span.from - margin, span.to + margin});
    return TimeSet::of_any(std::move(all));
}

} // namespace dangerline::passage
