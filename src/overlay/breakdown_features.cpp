#include "dangerline/overlay/drift.hpp"
#include "overlay/drift_head.hpp"
#include "overlay/geometry.hpp"

namespace dangerline::overlay {

namespace {

using jobs::BreakdownReport;
using jobs::BrokenRoute;

void add_point(Members& to, const jobs::BreakdownPoint& p, const BreakdownReport& report) {
    to.push_back({"at", time_value(p.at)});
    to.push_back({"at_m", Value::number(p.s, 1)});
    if (!p.boat.empty()) // none was run where nobody knows when the boat is there
        to.push_back({"boat", Value::text(p.boat)});
    to.push_back({"minutes_in_hand", minutes_value(p.early_s)});
    to.push_back({"minutes_median", minutes_value(p.median_s)});
    to.push_back({"danger_share", share_value(p.danger_share)});
    to.push_back({"unknown_share", share_value(p.unknown_share)});
    if (p.hazard)
        add_danger(to, report.base.hazards.at(*p.hazard), p.moved_m);
    if (!p.why.empty())
        to.push_back({"not_known", Value::text(p.why)});
    to.push_back({"minutes_to_help", p.help_s ? help_minutes_value(*p.help_s) : Value::null()});
}

Feature stretch_feature(const BrokenRoute& route, const jobs::BreakdownStretch& stretch,
                        const BreakdownReport& report) {
    Members p{{"role", Value::text("in_hand")},
              {"route", Value::text(route.track.route().name)},
              {"band", Value::text(jobs::band_words(stretch.band))},
              {"from_m", Value::number(stretch.span.from, 1)},
              {"to_m", Value::number(stretch.span.to, 1)},
              {"from", time_value(stretch.from)},
              {"to", time_value(stretch.to)},
              {"help_too_late", Value::flag(stretch.help_too_late)}};
    add_point(p, route.points.at(stretch.least), report);
    Line line = route.track.line(stretch.span.from, stretch.span.to);
    if (line.size() < 2)
        line.push_back(line.front());
    return {cut_line(line), std::move(p)};
}

} // namespace

std::string breakdown_geojson(const BreakdownReport& report, const std::string& program_version) {
    std::vector<Feature> features;
    List routes;
    for (const auto& route : report.routes) {
        for (const auto& stretch : route.stretches)
            features.push_back(stretch_feature(route, stretch, report));
        if (route.least) {
            const auto& least = route.points.at(*route.least);
            Members p{{"role", Value::text("least")}, {"route", Value::text(route.track.route().name)}};
            add_point(p, least, report);
            features.push_back({rounded_place(route.track.position_at(least.s)), std::move(p)});
        }
        routes.push_back(Value::object({{"route", Value::text(route.track.route().name)},
                                        {"departure", time_value(route.departure)},
                                        {"points", Value::count(route.points.size())},
                                        {"sentences", Value::texts(route.sentences)},
                                        {"warnings", Value::texts(route.warnings)}}));
    }
    for (const auto& helper : report.base.plan.helpers)
        features.push_back({rounded_place(helper.position),
                            {{"role", Value::text("helper")}, {"name", Value::text(helper.name)}}});
    const Value counts = Value::object({{"hazards_tested", Value::count(report.base.hazards_tested)},
                                        {"boats_a_run", Value::count(jobs::breakdown_boats)},
                                        {"seed", Value::count(report.base.plan.drift.seed)},
                                        {"routes", Value::list(std::move(routes))}});
    return to_geojson(features, head(drift_facts("breakdown", report.base, program_version, counts)));
}

} // namespace dangerline::overlay
