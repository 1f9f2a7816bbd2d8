#include "dangerline/tide/harmonic.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"

namespace dangerline::tide {

namespace {

HarmonicTerm term_of(const files::TableRow& row, const Constants& so_far) {
    const std::string& name = row.text("constituent");
    const Constituent* constituent = find_constituent(name);
    if (!constituent)
        row.refuse("constituent", fmt::format("\"{}\" is no constituent known here", name),
                   "one of the 37 standard constituents in NOAA's spelling, such as M2, K1, LAM2, 2MK3");
    if (so_far.amplitude_m(name))
        row.refuse("constituent", fmt::format("{} is given twice", name), "each constituent once");
    const double amplitude = row.number("amplitude_m");
    if (amplitude < 0.0)
        row.refuse("amplitude_m", fmt::format("found {}", row.text("amplitude_m")), "metres, not negative");
    const double phase = row.number("phase_deg_gmt");
    if (phase < -360.0 || phase > 720.0)
        row.refuse("phase_deg_gmt", fmt::format("found {}", row.text("phase_deg_gmt")),
                   "degrees of lag on Greenwich between -360 and 720");
    return {constituent, amplitude, phase};
}

} // namespace

std::optional<double> Constants::amplitude_m(std::string_view constituent) const {
    for (const auto& term : terms)
        if (term.constituent->name == constituent)
            return term.amplitude_m;
    return std::nullopt;
}

Constants read_constants(const std::filesystem::path& path) {
    return constants_from(files::Table::read(path));
}

Constants constants_from(const files::Table& table) {
    table.require({"constituent", "amplitude_m", "phase_deg_gmt"});
    Constants constants{.source = table.file()};
    for (const auto& row : table.rows())
        constants.terms.push_back(term_of(row, constants));
    if (constants.terms.empty())
        throw Failure(Fault::data,
                      {.file = table.file(),
                       .what = "no harmonic constants in the table",
                       .expected = "at least one row of constituent, amplitude_m, phase_deg_gmt"});
    return constants;
}

TideHeight direct_height(const Constants& constants, double z0_m, Instant t) {
    const int year = day_of(t).year;
    const double hours = (t - start_of({year, 1, 1})) / 3600.0;
    double sum = z0_m;
    for (const auto& term : constants.terms) {
        const YearFactors y = year_factors(*term.constituent, year);
        const double deg = y.v0_deg + y.u_deg - term.phase_deg +
                           std::fmod(term.constituent->speed_deg_per_hour * hours, 360.0);
        sum += y.f * term.amplitude_m * std::cos(deg * (std::numbers::pi / 180.0));
    }
    return TideHeight::from_metres(sum);
}

std::optional<double> diurnal_ratio(const Constants& constants) {
    const auto k1 = constants.amplitude_m("K1"), o1 = constants.amplitude_m("O1");
    const auto m2 = constants.amplitude_m("M2"), s2 = constants.amplitude_m("S2");
    if (!k1 || !o1 || !m2 || !s2)
        return std::nullopt;
    const double diurnal = *k1 + *o1, semidiurnal = *m2 + *s2;
    if (semidiurnal > 0.0)
        return diurnal / semidiurnal;
    return diurnal > 0.0 ? std::optional(std::numeric_limits<double>::infinity()) : std::nullopt;
}

TideType type_of_tide(double ratio) {
    if (ratio < 0.25)
        return TideType::semidiurnal;
    if (ratio <= 1.5)
        return TideType::mixed_mainly_semidiurnal;
    return ratio <= 3.0 ? TideType::mixed_mainly_diurnal : TideType::diurnal;
}

const char* to_text(TideType type) {
    switch (type) {
    case TideType::semidiurnal:
        return "semidiurnal";
    case TideType::mixed_mainly_semidiurnal:
        return "mixed, mainly semidiurnal";
    case TideType::mixed_mainly_diurnal:
        return "mixed, mainly diurnal";
    case TideType::diurnal:
        return "diurnal";
    }
    return "";
}

} // namespace dangerline::tide
