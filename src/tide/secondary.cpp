#include "dangerline/tide/secondary.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::tide {

namespace {

constexpr double day_s = 86400.0;

double linear(double x, double x0, double y0, double x1, double y1) {
    return y0 + (y1 - y0) * (x - x0) / (x1 - x0);
}

double clock_of(const Differences& differences, Instant t) {
    const double s = std::fmod(t.unix_seconds() + differences.clock_utc_offset_s, day_s);
    return s < 0.0 ? s + day_s : s;
}

const TideShift& shift_for(const Differences& differences, const HighOrLow& tide) {
    return tide.is_high ? differences.high : differences.low;
}

/// Drops pairs of tides that are not in order and says where; what is left rises strictly in time.
std::vector<HighOrLow> in_order(const std::vector<HighOrLow>& tides, std::vector<TimeSpan>& around) {
    std::vector<HighOrLow> kept;
    std::vector<bool> gap_before; // parallel to kept
    bool gap = false;
    for (const HighOrLow& tide : tides) {
        if (!kept.empty() && !(tide.at > kept.back().at)) {
            kept.pop_back();
            gap = true;
            gap_before.pop_back();
            continue;
        }
        kept.push_back(tide);
        gap_before.push_back(gap);
        gap = false;
    }
    for (std::size_t i = 1; i < kept.size(); ++i)
        if (gap_before[i])
            around.push_back({kept[i - 1].at, kept[i].at});
    return kept;
}

} // namespace

double time_difference_s(const Differences& differences, const HighOrLow& standard) {
    const auto& knots = shift_for(differences, standard).times;
    if (knots.empty())
        return 0.0;
    const double clock = clock_of(differences, standard.at);
    const auto after =
        std::find_if(knots.begin(), knots.end(), [&](const TimeKnot& k) { return k.clock_s > clock; });
    const TimeKnot b =
        after != knots.end() ? *after : TimeKnot{knots.front().clock_s + day_s, knots.front().difference_s};
    const TimeKnot a = after != knots.begin()
                           ? *(after - 1)
                           : TimeKnot{knots.back().clock_s - day_s, knots.back().difference_s};
    return linear(clock, a.clock_s, a.difference_s, b.clock_s, b.difference_s);
}

double height_difference_m(const Differences& differences, const HighOrLow& standard) {
    const TideShift& shift = shift_for(differences, standard);
    const double height = standard.height.metres();
    const auto& knots = shift.heights;
    double add = 0.0;
    if (knots.size() == 1) {
        add = knots.front().difference_m;
    } else if (knots.size() > 1) {
        std::size_t i = 1; // the pair around it, or the outermost one
        while (i + 1 < knots.size() && knots[i].standard_m < height)
            ++i;
        add = linear(height, knots[i - 1].standard_m, knots[i - 1].difference_m, knots[i].standard_m,
                     knots[i].difference_m);
    }
    return height * (shift.ratio - 1.0) + add;
}

HighOrLow at_secondary(const Differences& differences, const HighOrLow& standard) {
    return {standard.at + time_difference_s(differences, standard),
            TideHeight::from_metres(standard.height.metres() + height_difference_m(differences, standard)),
            standard.is_high};
}

Prediction secondary(const std::vector<HighOrLow>& standard, const Differences& differences,
                     std::optional<double> longest_s, const std::string& note) {
    std::vector<HighOrLow> moved;
    for (const HighOrLow& tide : standard)
        moved.push_back(at_secondary(differences, tide));
    std::vector<TimeSpan> disordered;
    const auto tides = in_order(moved, disordered);
    if (tides.empty()) {
        const Instant nowhere = Instant::from_unix_seconds(0.0);
        return {.curve = Curve::from_pieces({}, nowhere, nowhere, note),
                .notes = {"no high or low water of the standard port is known"}};
    }
    Prediction result = half_cosine(tides, longest_s, note);
    if (disordered.empty())
        return result;
    // Half a cosine over the pair left out would hide it.
    std::vector<Piece> pieces;
    for (const Piece& piece : result.curve.pieces())
        if (std::none_of(disordered.begin(), disordered.end(),
                         [&](const TimeSpan& s) { return piece.start == s.from; }))
            pieces.push_back(piece);
    result.curve =
        Curve::from_pieces(std::move(pieces), result.curve.valid_from(), result.curve.valid_to(), note);
    result.notes.push_back(fmt::format("differences bring {} pairs of tides out of order; heights around "
                                       "them are unknown, the first from {}",
                                       disordered.size(), to_iso_utc(disordered.front().from)));
    return result;
}

} // namespace dangerline::tide
