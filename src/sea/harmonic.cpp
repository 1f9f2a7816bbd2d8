#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"
#include "dangerline/sea/map.hpp"

#include <cmath>

#include <fmt/format.h>

namespace dangerline::sea {

namespace {

double knots(const files::TableRow& row, const char* column, bool negative) {
    const double kn = row.number(column);
    if (!(std::abs(kn) <= 30.0) || (kn < 0.0 && !negative))
        row.refuse(column, fmt::format("found {}", row.text(column)), "knots, 30 at most");
    return kn;
}

void take(const files::TableRow& row, const tide::Constituent* constituent, const char* rate,
          const char* phase, tide::Constants& into) {
    const double deg = row.number(phase);
    if (!(deg >= -360.0 && deg <= 720.0))
        row.refuse(phase, fmt::format("found {}", row.text(phase)), "degrees of lag on Greenwich");
    into.terms.push_back({constituent, knots(row, rate, false) * mps_per_knot, deg});
}

} // namespace

Series harmonic_series(const std::filesystem::path& path, Instant from, Instant to) {
    const auto table = files::Table::read(path);
    table.require({"constituent", "east_kn", "east_phase_deg_gmt", "north_kn", "north_phase_deg_gmt"});
    tide::Constants east{.source = path.string()}, north{.source = path.string()};
    std::optional<Stream> mean;
    for (const auto& row : table.rows()) {
        const std::string& name = row.text("constituent");
        const auto* constituent = tide::find_constituent(name);
        if (name == "Z0" ? mean.has_value() : east.amplitude_m(name).has_value())
            row.refuse("constituent", name + " stands twice", "each constituent once");
        if (name == "Z0")
            mean = Stream{knots(row, "east_kn", true) * mps_per_knot,
                          knots(row, "north_kn", true) * mps_per_knot};
        else if (!constituent)
            row.refuse("constituent", "\"" + name + "\" is no constituent known here",
                       "Z0 or one of the 37 standard constituents, such as M2, K1");
        else {
            take(row, constituent, "east_kn", "east_phase_deg_gmt", east);
            take(row, constituent, "north_kn", "north_phase_deg_gmt", north);
        }
    }
    if (!mean || east.terms.empty())
        throw Failure(Fault::data, {.file = path.string(),
                                    .what = mean ? "no constituents" : "no row Z0 with the mean stream",
                                    .expected = "Z0, 0 where there is none, and at least one constituent"});
    // A curve of metres is a curve of metres a second as well.
    constexpr double around_s = 3600.0;
    const auto of_east = tide::Curve::harmonic(east, mean->east_mps, from - around_s, to + around_s);
    const auto of_north = tide::Curve::harmonic(north, mean->north_mps, from - around_s, to + around_s);
    return Series(from, to, [&](Instant t) -> std::optional<Stream> {
        const auto e = of_east.height(t), n = of_north.height(t);
        if (!e || !n)
            return std::nullopt;
        return Stream{e->metres(), n->metres()};
    });
}

} // namespace dangerline::sea
