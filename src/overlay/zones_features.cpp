#include <fmt/format.h>

#include "dangerline/overlay/overlay.hpp"
#include "overlay/geometry.hpp"
#include "overlay/head.hpp"

namespace dangerline::overlay {

namespace {

Feature feature_of(const jobs::Zone& zone, const geo::Plane& plane) {
    Members p;
    add_grading(p, zone.kind, zone.grade, zone.cause);
    p.push_back({"reason", Value::text(zone.reason)});
    p.push_back({"object", object_value(zone.object)});
    p.push_back({"what", Value::text(zone.what)});
    p.push_back({"reading", Value::text(hazard::to_text(zone.reading))});
    p.push_back({"tide_m", Value::number(zone.tide_m, 2)});
    p.push_back({"radius_m", Value::number(zone.radius_m, 1)});
    add_depth(p, zone.depth_m, zone.depth_known, zone.critical_tide_m);
    return {cut_areas(unproject(plane, zone.area)), std::move(p)};
}

std::string tide_words(const std::vector<double>& tides_m) {
    std::string heights;
    for (const double t : tides_m)
        heights += fmt::format("{}{:.2f}", heights.empty() ? "" : ", ", t);
    return fmt::format("drawn for tide heights of {} m above the sounding datum of each cell", heights);
}

} // namespace

std::string zones_geojson(const jobs::ZonesReport& report, const std::string& program_version) {
    std::vector<Feature> features;
    std::vector<hazard::Grade> grades;
    for (const auto& zone : report.zones) {
        if (zone.area.empty())
            continue;
        features.push_back(feature_of(zone, report.plane));
        grades.push_back(zone.grade);
    }
    const Value counts = Value::object({{"hazards_tested", Value::count(report.hazards_tested)},
                                        {"zones", Value::count(features.size())},
                                        {"by_grade", grade_counts(grades)}});
    return to_geojson(features, head({"zones",
                                      program_version,
                                      report.plan,
                                      report.as_of,
                                      report.cells,
                                      report.required_m,
                                      report.required_words,
                                      tide_words(report.tides_m),
                                      stream_words(false),
                                      {},
                                      counts,
                                      report.diagnostics}));
}

} // namespace dangerline::overlay
