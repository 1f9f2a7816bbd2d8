#include "dangerline/tide/summary.hpp"

#include <algorithm>
#include <limits>
#include <stdexcept>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"

namespace dangerline::tide {

namespace {

constexpr double lowest_too_high_m = 0.8;
constexpr double lowest_too_low_m = -1.5;

} // namespace

std::vector<std::string> datum_warnings(TideHeight lowest, TideHeight mean) {
    std::vector<std::string> warnings;
    if (lowest.metres() > lowest_too_high_m)
        warnings.push_back(
            fmt::format("the lowest tide of the years used is {:+.2f} m above chart datum, more than "
                        "{:+.1f} m: mean level or datum is probably wrong, or a constituent is missing",
                        lowest.metres(), lowest_too_high_m));
    if (lowest.metres() < lowest_too_low_m)
        warnings.push_back(
            fmt::format("the lowest tide of the years used is {:+.2f} m above chart datum, less than "
                        "{:+.1f} m: mean level or datum is probably wrong, or a constituent is missing",
                        lowest.metres(), lowest_too_low_m));
    if (!(mean.metres() > 0.0))
        warnings.push_back(
            fmt::format("the mean tide is {:+.2f} m above chart datum, which is not positive: mean "
                        "level is missing or the datum's sign is turned round",
                        mean.metres()));
    return warnings;
}

Summary summarise(const Constants& constants, double z0_m, double offset_m, int first_year, int last_year) {
    if (first_year > last_year)
        throw std::invalid_argument("the first year of a tide summary is after the last");
    const Instant from = start_of({first_year, 1, 1}), to = start_of({last_year + 1, 1, 1});
    // A second short, so that 2100 may be the last year.
    const Curve curve = Curve::harmonic(constants, z0_m + offset_m, from, to - 1.0);
    const Instant end = curve.valid_to();
    Summary summary{.first_year = first_year, .last_year = last_year};
    summary.lowest = curve.lowest(from, end).value().height;
    summary.highest = curve.highest(from, end).value().height;
    // The mean of a sum of cosines; an average over the nodes would hide a forgotten Z0 behind millimetres.
    summary.mean = TideHeight::from_metres(z0_m + offset_m);
    summary.warnings = datum_warnings(summary.lowest, summary.mean);
    return summary;
}

Summary summarise(const Curve& curve, double offset_m, Instant from, Instant to) {
    constexpr double infinity = std::numeric_limits<double>::infinity();
    double lowest = infinity, highest = -infinity, integral = 0.0, seconds = 0.0;
    for (const Piece& piece : curve.pieces()) {
        const Instant begin = std::max({piece.start, from, curve.valid_from()});
        const Instant end = std::min({piece.end(), to, curve.valid_to()});
        if (!(begin < end))
            continue;
        lowest = std::min(lowest, curve.lowest(begin, end).value().height.metres());
        highest = std::max(highest, curve.highest(begin, end).value().height.metres());
        // A piece that reaches over an end counts whole: hours in a year.
        const double step = piece.step_s;
        for (std::size_t i = 0; i + 1 < piece.height_m.size(); ++i)
            integral += step * (0.5 * (piece.height_m[i] + piece.height_m[i + 1]) +
                                step * (piece.rate_mps[i] - piece.rate_mps[i + 1]) / 12.0);
        seconds += piece.end() - piece.start;
    }
    if (!(seconds > 0.0))
        throw Failure(Fault::data, {.object = "tide",
                                    .what = fmt::format("nothing is known from {} to {}", to_iso_utc(from),
                                                        to_iso_utc(to))});
    Summary summary{.first_year = day_of(from).year, .last_year = day_of(to - 1.0).year};
    summary.lowest = TideHeight::from_metres(lowest + offset_m);
    summary.highest = TideHeight::from_metres(highest + offset_m);
    summary.mean = TideHeight::from_metres(integral / seconds + offset_m);
    summary.warnings = datum_warnings(summary.lowest, summary.mean);
    return summary;
}

} // namespace dangerline::tide
