// Half a cosine between neighbouring tides, as cubics on many nodes.
#include <algorithm>
#include <cmath>
#include <numbers>
#include <stdexcept>

#include <fmt/format.h>

#include "dangerline/tide/high_low.hpp"

namespace dangerline::tide {

namespace {

/// A power of two, so that nodes divide the time without rounding. The cubics then stay within 1.2e-8 of
/// the range, and crossings near a turn, where time is most sensitive, within π² T / (162 n³): 0.02 s at
/// 19 h.
constexpr std::size_t steps = 64;

/// Middle one of the intervals; it tells semidiurnal from diurnal even where some tides are missing.
double longest_by_rule(const std::vector<HighOrLow>& tides) {
    std::vector<double> intervals;
    for (std::size_t i = 1; i < tides.size(); ++i)
        intervals.push_back(tides[i].at - tides[i - 1].at);
    if (intervals.empty())
        return longest_semidiurnal_s;
    const auto middle = intervals.begin() + static_cast<std::ptrdiff_t>(intervals.size() / 2);
    std::nth_element(intervals.begin(), middle, intervals.end());
    constexpr double semidiurnal_at_most_s = 8.0 * 3600.0;
    return *middle <= semidiurnal_at_most_s ? longest_semidiurnal_s : longest_diurnal_s;
}

Piece half_cycle(const HighOrLow& from, const HighOrLow& to) {
    const double duration = to.at - from.at;
    const double start = from.height.metres(), change = to.height.metres() - start;
    Piece piece{.start = from.at, .step_s = duration / static_cast<double>(steps)};
    for (std::size_t i = 0; i <= steps; ++i) {
        const double phase = std::numbers::pi * static_cast<double>(i) / static_cast<double>(steps);
        piece.height_m.push_back(start + 0.5 * change * (1.0 - std::cos(phase)));
        piece.rate_mps.push_back(0.5 * change * std::sin(phase) * std::numbers::pi / duration);
    }
    piece.height_m.back() = to.height.metres(); // to the last bit
    piece.rate_mps.back() = 0.0;
    return piece;
}

std::string hours(double seconds) {
    return fmt::format("{:.1f} h", seconds / 3600.0);
}

std::string gap_note(const std::vector<TimeSpan>& gaps) {
    return fmt::format("{} of the table: a tide is missing, so heights there are unknown; the first from {} "
                       "to {}",
                       gaps.size() == 1 ? "1 gap" : fmt::format("{} gaps", gaps.size()),
                       to_iso_utc(gaps.front().from), to_iso_utc(gaps.front().to));
}

/// Marks the tides whose rise and fall differ too much for half a cosine.
void mark_doubtful(const std::vector<HighOrLow>& tides, const std::vector<bool>& joined, Prediction& out) {
    std::size_t compared = 0, differing = 0;
    double most = 0.0;
    for (std::size_t i = 1; i + 1 < tides.size(); ++i) {
        if (!joined[i - 1] || !joined[i])
            continue;
        ++compared;
        const double before = tides[i].at - tides[i - 1].at, after = tides[i + 1].at - tides[i].at;
        const double difference = std::abs(before - after);
        if (!(difference > rise_and_fall_differ_s))
            continue;
        ++differing;
        most = std::max(most, difference);
        auto& spans = out.doubtful_shape;
        if (!spans.empty() && spans.back().to >= tides[i - 1].at)
            spans.back().to = tides[i + 1].at;
        else
            spans.push_back({tides[i - 1].at, tides[i + 1].at});
    }
    if (differing > 0)
        out.notes.push_back(fmt::format("rise and fall differ by more than {} at {} of {} tides, most by {}: "
                                        "half-cosine is a doubtful shape there",
                                        hours(rise_and_fall_differ_s), differing, compared, hours(most)));
}

} // namespace

Prediction half_cosine(const std::vector<HighOrLow>& tides, std::optional<double> longest_s,
                       const std::string& note) {
    for (std::size_t i = 1; i < tides.size(); ++i)
        if (!(tides[i].at > tides[i - 1].at))
            throw std::invalid_argument("tides out of order");
    if (tides.empty())
        throw std::invalid_argument("a half-cosine curve without tides");
    const double longest = longest_s.value_or(longest_by_rule(tides));
    std::vector<Piece> pieces;
    std::vector<bool> joined;
    std::vector<TimeSpan> gaps;
    for (std::size_t i = 1; i < tides.size(); ++i) {
        const HighOrLow &a = tides[i - 1], &b = tides[i];
        joined.push_back(a.is_high != b.is_high && b.at - a.at <= longest);
        if (joined.back())
            pieces.push_back(half_cycle(a, b));
        else
            gaps.push_back({a.at, b.at});
    }
    Prediction result{.curve =
                          Curve::from_pieces(std::move(pieces), tides.front().at, tides.back().at, note)};
    if (!gaps.empty())
        result.notes.push_back(gap_note(gaps));
    mark_doubtful(tides, joined, result);
    return result;
}

bool is_doubtful(const Prediction& prediction, Instant from, Instant to) {
    return std::any_of(prediction.doubtful_shape.begin(), prediction.doubtful_shape.end(),
                       [&](const TimeSpan& s) { return s.from <= to && s.to >= from; });
}

} // namespace dangerline::tide
