#include "passage/stream_pieces.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <limits>

#include "dangerline/base/parallel.hpp"
#include "passage/made_good.hpp"

namespace dangerline::passage {

namespace {

const double forever = std::numeric_limits<double>::infinity();

/// Part of [0, 1] where a value that goes straight from a to b is above `limit`.
std::optional<geo::Span> above(double a, double b, double limit) {
    if (a <= limit && b <= limit)
        return std::nullopt;
    if (a > limit && b > limit)
        return geo::Span{0.0, 1.0};
    const double t = (limit - a) / (b - a);
    return a > limit ? geo::Span{0.0, t} : geo::Span{t, 1.0};
}

void append(std::vector<Voyage::Spell>& spells, Voyage::Spell spell) {
    constexpr double same_s = 1e-6;
    for (std::size_t i = spells.size(); i-- > 0;)
        if (spells[i].reason == spell.reason && spells[i].bounded == spell.bounded &&
            std::abs(spells[i].to - spell.from) <= same_s) {
            spells[i].to = spell.to;
            return;
        }
    spells.push_back(std::move(spell));
}

constexpr const char* not_held =
    "the leg can't be held: the stream across takes up over 95 % of the boat's speed";
constexpr const char* not_stemmed = "the leg can't be stemmed: under 0.5 kn made good against the stream";

} // namespace

StreamPieces::StreamPieces(const Track& track, const std::vector<double>& cuts,
                           const std::vector<std::size_t>& legs, const std::vector<double>& still_mps,
                           const Voyage::Settings& settings)
    : start_(Instant::from_unix_seconds(std::floor(settings.from.unix_seconds() / stream_node_s) *
                                        stream_node_s)),
      nodes_(2 + static_cast<std::size_t>(std::max(0.0, settings.to - start_) / stream_node_s)),
      still_mps_(still_mps) {
    made_good_.resize(nodes_ * still_mps.size());
    at_node_.resize(made_good_.size());
    std::vector<std::vector<Voyage::Spell>> found(still_mps.size());
    parallel_for(still_mps.size(), [&](std::size_t i) {
        const auto& places = track.route().places;
        const double course_deg = geo::rhumb_between(places[legs[i]], places[legs[i] + 1]).start_deg;
        const geo::Point middle = track.point_at((cuts[i] + cuts[i + 1]) / 2.0);
        found[i] = spells_of(i, {cuts[i], cuts[i + 1]}, fill(i, course_deg, middle, settings));
    });
    for (auto& spells : found)
        std::move(spells.begin(), spells.end(), std::back_inserter(spells_));
    const geo::Span all{0.0, cuts.back()};
    const Instant end = start_ + stream_node_s * static_cast<double>(nodes_ - 1);
    spells_.push_back(
        {all, Instant::from_unix_seconds(-forever), start_, "no stream is reckoned so early", false});
    spells_.push_back(
        {all, end, Instant::from_unix_seconds(forever), "no stream is reckoned so late", false});
}

StreamPieces::Nodes StreamPieces::fill(std::size_t piece, double course_deg, geo::Point middle,
                                       const Voyage::Settings& settings) {
    using Luck = Voyage::Settings::Luck;
    const double still = still_mps_[piece];
    const double sign = settings.luck == Luck::early ? 1.0 : settings.luck == Luck::late ? -1.0 : 0.0;
    const OnCourse course(course_deg);
    const auto there = settings.streams->fix(middle);
    Nodes nodes{{}, std::vector<double>(nodes_), std::vector<double>(nodes_)};
    for (std::size_t j = 0; j < nodes_; ++j) {
        const Instant t = start_ + stream_node_s * static_cast<double>(j);
        auto& stream = at_node_[piece * nodes_ + j];
        stream = there(t);
        if (stream) {
            nodes.to_right_mps[j] = course.to_right(*stream);
            nodes.speed_mps[j] = OnCourse::speed(nodes.to_right_mps[j], course.along(*stream), still);
            continue;
        }
        auto known = settings.streams->at(middle, t);
        const double bound = std::max(settings.rate_max_mps.value_or(0.0), known.bound_mps.value_or(0.0));
        nodes.blinds.resize(nodes_);
        nodes.blinds[j] = {std::move(known.reason), bound,
                           settings.rate_max_mps && bound <= most_crabbing * still &&
                               still - bound >= least_made_good_mps};
        nodes.speed_mps[j] = settings.rate_max_mps ? still + sign * bound : still;
    }
    keep_speeds(piece, nodes, sign);
    return nodes;
}

void StreamPieces::keep_speeds(std::size_t piece, const Nodes& nodes, double sign) {
    for (std::size_t j = 0; j < nodes_; ++j) {
        double speed = nodes.speed_mps[j];
        // Beside a node where nothing is known the stream may be the largest at once.
        const auto beside = [&](std::size_t k) {
            if (sign != 0.0 && at_node_[piece * nodes_ + j] && !at_node_[piece * nodes_ + k])
                speed =
                    sign > 0.0 ? std::max(speed, nodes.speed_mps[k]) : std::min(speed, nodes.speed_mps[k]);
        };
        if (j > 0)
            beside(j - 1);
        if (j + 1 < nodes_)
            beside(j + 1);
        made_good_[piece * nodes_ + j] = static_cast<float>(std::max(speed, least_made_good_mps));
    }
}

std::vector<Voyage::Spell> StreamPieces::spells_of(std::size_t piece, geo::Span span,
                                                   const Nodes& nodes) const {
    std::vector<Voyage::Spell> spells;
    const double still = still_mps_[piece];
    for (std::size_t j = 0; j + 1 < nodes_; ++j) {
        const Instant begin = start_ + stream_node_s * static_cast<double>(j);
        const bool known = at_node_[piece * nodes_ + j] && at_node_[piece * nodes_ + j + 1];
        const auto add = [&](const std::optional<geo::Span>& part, const std::string& reason,
                             bool is_bounded) {
            if (part)
                append(spells, {span, begin + part->from * stream_node_s, begin + part->to * stream_node_s,
                                reason, is_bounded});
        };
        if (!known) {
            const bool known_first = at_node_[piece * nodes_ + j].has_value();
            const bool known_last = at_node_[piece * nodes_ + j + 1].has_value();
            const Blind& one = nodes.blinds[known_first ? j + 1 : j];
            const Blind& other = known_last ? one : nodes.blinds[j + 1];
            add(geo::Span{0.0, 1.0},
                "the stream is not known" + (one.reason.empty() ? "" : ": " + one.reason),
                one.bounded && other.bounded);
            continue;
        }
        const double share_a = OnCourse::crab_share(nodes.to_right_mps[j], still);
        const double share_b = OnCourse::crab_share(nodes.to_right_mps[j + 1], still);
        if (share_a > most_crabbing || share_b > most_crabbing) {
            const double a = std::copysign(share_a, nodes.to_right_mps[j]);
            const double b = std::copysign(share_b, nodes.to_right_mps[j + 1]);
            add(above(a, b, most_crabbing), not_held, false);
            add(above(-a, -b, most_crabbing), not_held, false);
        }
        if (nodes.speed_mps[j] < least_made_good_mps || nodes.speed_mps[j + 1] < least_made_good_mps)
            add(above(-nodes.speed_mps[j], -nodes.speed_mps[j + 1], -least_made_good_mps), not_stemmed,
                false);
    }
    return spells;
}

StreamPieces::Interval StreamPieces::interval(std::size_t piece, Instant t, bool backward) const {
    const double still = still_mps_[piece];
    const double position = (t - start_) / stream_node_s;
    const auto last = static_cast<double>(nodes_ - 1);
    if (position < 0.0 || (backward && position <= 0.0))
        return {Instant::from_unix_seconds(-forever), start_, still, 0.0};
    if (position > last || (!backward && position >= last))
        return {start_ + stream_node_s * last, Instant::from_unix_seconds(forever), still, 0.0};
    const double j = backward ? std::ceil(position) - 1.0 : std::floor(position);
    const std::size_t at = piece * nodes_ + static_cast<std::size_t>(j);
    const double v = made_good_[at];
    return {start_ + stream_node_s * j, start_ + stream_node_s * (j + 1.0), v,
            (made_good_[at + 1] - v) / stream_node_s};
}

Instant StreamPieces::after(std::size_t piece, Instant begin, double metres) const {
    Instant t = begin;
    for (;;) {
        const Interval in = interval(piece, t, false);
        const double v = in.change == 0.0 ? in.at_begin : in.at_begin + in.change * (t - in.begin);
        const double rest = in.end - t;
        const double whole = rest < forever ? rest * (v + in.change * rest / 2.0) : forever;
        if (metres <= whole)
            return t + std::min(rest, 2.0 * metres /
                                          (v + std::sqrt(std::max(0.0, v * v + 2.0 * in.change * metres))));
        metres -= whole;
        t = in.end;
    }
}

Instant StreamPieces::before(std::size_t piece, Instant end, double metres) const {
    Instant t = end;
    for (;;) {
        const Interval in = interval(piece, t, true);
        const double v = in.change == 0.0 ? in.at_begin : in.at_begin + in.change * (t - in.begin);
        const double rest = t - in.begin;
        const double whole = rest < forever ? rest * (v - in.change * rest / 2.0) : forever;
        if (metres <= whole)
            return t - std::min(rest, 2.0 * metres /
                                          (v + std::sqrt(std::max(0.0, v * v - 2.0 * in.change * metres))));
        metres -= whole;
        t = in.begin;
    }
}

void StreamPieces::before(std::size_t piece, std::span<Instant> ends, double metres) const {
    const float* const made_good = made_good_.data() + piece * nodes_;
    const auto last = static_cast<double>(nodes_ - 1);
    for (Instant& t : ends) {
        const double position = (t - start_) / stream_node_s;
        if (position > 0.0 && position <= last) {
            // As below, for a piece that is passed between two nodes: nearly all. The steps of several times
            // overlap in the processor, which waits for each of them otherwise.
            auto j = static_cast<std::size_t>(position);
            j -= static_cast<double>(j) == position;
            const double first = made_good[j], change = (made_good[j + 1] - first) / stream_node_s;
            const double rest = t - (start_ + stream_node_s * static_cast<double>(j));
            const double v = first + change * rest;
            if (metres <= rest * (v - change * rest / 2.0)) {
                t = t - std::min(rest, 2.0 * metres /
                                           (v + std::sqrt(std::max(0.0, v * v - 2.0 * change * metres))));
                continue;
            }
        }
        if (t.unix_seconds() != -forever)
            t = before(piece, t, metres);
    }
}

double StreamPieces::gone(std::size_t piece, Instant begin, Instant end) const {
    double metres = 0.0;
    for (Instant t = begin; t < end;) {
        const Interval in = interval(piece, t, false);
        const double v = in.change == 0.0 ? in.at_begin : in.at_begin + in.change * (t - in.begin);
        const double rest = std::min(in.end, end) - t;
        metres += rest * (v + in.change * rest / 2.0);
        t = std::min(in.end, end);
    }
    return metres;
}

std::optional<sea::Stream> StreamPieces::stream(std::size_t piece, Instant t) const {
    const double position = (t - start_) / stream_node_s;
    if (!(position >= 0.0) || position > static_cast<double>(nodes_ - 1))
        return std::nullopt;
    const auto j = std::min(static_cast<std::size_t>(position), nodes_ - 2);
    const auto &a = at_node_[piece * nodes_ + j], &b = at_node_[piece * nodes_ + j + 1];
    if (!a || !b)
        return std::nullopt;
    const double share = position - static_cast<double>(j);
    return sea::Stream{a->east_mps + share * (b->east_mps - a->east_mps),
                       a->north_mps + share * (b->north_mps - a->north_mps)};
}

} // namespace dangerline::passage
