#include "dangerline/jobs/tide.hpp"

#include "dangerline/geo/position.hpp"
#include "dangerline/jobs/stations.hpp"
#include "jobs/span.hpp"
#include "jobs/tide_source.hpp"

#include <cmath>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

std::string place_of(const plan::TideSource& source) {
    if (source.standard_port_only())
        return "standard port only";
    if (!source.position)
        return "";
    const double lon = geo::normal_longitude(source.position->lon_deg), lat = source.position->lat_deg;
    return fmt::format("{:.4f} {} {:.4f} {}{}", std::abs(lat), lat < 0.0 ? "S" : "N", std::abs(lon),
                       lon < 0.0 ? "W" : "E", source.has_zone() ? ", with a zone of its own" : "");
}

TideTable table_of(const plan::Plan& plan, std::size_t i, const TideOfPlan& tide, Instant from, Instant to,
                   double step_s) {
    const plan::TideSource& source = plan.tides[i];
    const tide::Curve& curve = tide.station.prediction.curve;
    auto notes = tide_notes(plan, source, 0.0, "its own datum", from, to);
    TideTable table{tide.words, place_of(source), std::move(notes.lines), {}, {}};
    table.warnings.insert(table.warnings.end(), notes.warnings.begin(), notes.warnings.end());
    if (!tide.distrust.empty())
        table.warnings.push_back("this tide can't be relied on: " + tide.distrust);
    table.warnings.insert(table.warnings.end(), tide.notes.begin(), tide.notes.end());
    for (int k = 0; from + k * step_s <= to; ++k) {
        const auto height = curve.height(from + k * step_s);
        table.heights.push_back({from + k * step_s, height ? std::optional(height->metres()) : std::nullopt});
    }
    table.extremes = curve.extremes(from - 1.0, to + 1.0);
    return table;
}

} // namespace

TideReport run_tide(const plan::Plan& plan, const std::string& from_text, const std::string& to_text,
                    double step_s) {
    const auto [from, to] = asked_times(plan, from_text, to_text, step_s);
    // A day either side, so that an extreme at the very end is seen as one.
    constexpr double day_s = 86400.0;
    const auto tides = read_tides(plan, from - day_s, to + day_s);
    TideReport report{plan, {}};
    for (std::size_t i = 0; i < tides.size(); ++i)
        report.tides.push_back(table_of(plan, i, tides[i], from, to, step_s));
    return report;
}

} // namespace dangerline::jobs
