#include "dangerline/overlay/newer.hpp"

#include <array>

#include <fmt/format.h>

#include "overlay/csv.hpp"
#include "overlay/geometry.hpp"
#include "overlay/head.hpp"

namespace dangerline::overlay {

namespace {

using jobs::NewerChange;
using survey::Change;

Value ref_value(const hazard::ObjectRef& object) {
    return object.cls.empty() ? Value::null() : object_value(object);
}

Members properties_of(const NewerChange& c) {
    Members p{{"change", Value::text(survey::to_text(c.difference.change))},
              {"reason", Value::text(c.sentence)},
              {"source", Value::text(c.source)},
              {"what", Value::text(c.what)},
              {"newer", ref_value(c.newer)},
              {"charted", ref_value(c.charted)},
              {"adds_hazard", Value::flag(c.difference.adds)},
              {"doubt_m", Value::number(c.difference.doubt_m, 1)}};
    const auto add = [&p](const char* name, const std::optional<double>& metres, int decimals) {
        if (metres)
            p.push_back({name, Value::number(*metres, decimals)});
    };
    switch (c.difference.change) {
    case Change::moved:
        add("moved_m", c.difference.metres, 1);
        break;
    case Change::larger:
        add("beyond_m", c.difference.metres, 1);
        break;
    case Change::depth_differs:
        add("deeper_m", c.difference.metres, 2);
        break;
    case Change::missing:
    case Change::gone:
        break;
    }
    add("newer_depth_m", c.newer_depth_m, 2);
    add("charted_depth_m", c.charted_depth_m, 2);
    add("radius_m", c.radius_m, 1);
    if (c.off_m) {
        p.push_back({"distance_m", Value::number(*c.off_m, 1)});
        p.push_back({"nearest", Value::text(c.off)});
    }
    return p;
}

Value left_out_value(const jobs::NewerOutcome::LeftOut& left_out) {
    return Value::object({{"far", Value::count(left_out.far)},
                          {"on_no_chart", Value::count(left_out.on_no_chart)},
                          {"on_land", Value::count(left_out.on_land)},
                          {"differences_far", Value::count(left_out.told_not)}});
}

Value counts_of(const jobs::NewerOutcome& outcome) {
    constexpr std::array all{Change::missing, Change::moved, Change::larger, Change::depth_differs,
                             Change::gone};
    Members changes;
    for (const auto change : all) {
        long long count = 0;
        for (const auto& one : outcome.changes)
            count += one.difference.change == change;
        changes.push_back({survey::to_text(change), Value::whole(count)});
    }
    return Value::object({{"source", Value::text(outcome.name)},
                          {"dated", Value::text(outcome.dated)},
                          {"classes", Value::texts(outcome.classes)},
                          {"compared", Value::count(outcome.compared)},
                          {"charted", Value::count(outcome.charted)},
                          {"gone_judged", Value::flag(outcome.gone_judged)},
                          {"left_out", left_out_value(outcome.left_out)},
                          {"changes", Value::object(std::move(changes))}});
}

Value tried_value(const jobs::TriedOutcome& outcome) {
    Members p{{"by", Value::text(outcome.run.by)},
              {"date", Value::text(to_text(outcome.run.on))},
              {"length_nm", Value::number(outcome.length_m / metres_per_nautical_mile, 2)},
              {"counts_for_nothing", Value::text(outcome.why_not)},
              {"places_sounded", Value::count(outcome.places.size())}};
    if (outcome.offset) {
        p.push_back({"median_difference_m", Value::number(outcome.offset->metres, 2)});
        p.push_back({"spread_m", Value::number(outcome.offset->spread_m, 2)});
    }
    if (!outcome.offset_words.empty())
        p.push_back({"sounder", Value::text(outcome.offset_words)});
    return Value::object(std::move(p));
}

std::string tide_words(const jobs::CompareReport& report) {
    return report.tried.empty() ? "of no matter here"
                                : "of the time of each run, by the tides of the plan or as stated there";
}

std::string metres(const std::optional<double>& value) {
    return value ? fmt::format("{:.2f}", *value) : "";
}

} // namespace

std::string newer_geojson(const jobs::CompareReport& report, const std::string& program_version) {
    std::vector<Feature> features;
    plan::Plan plan = report.plan;
    plan.assumptions = report.assumptions;
    List newer, tried;
    for (const auto& outcome : report.newer) {
        newer.push_back(counts_of(outcome));
        for (const auto& change : outcome.changes)
            for (const auto& shape : change.shapes)
                for (auto& geometry : geometries_of(*shape, report.plane))
                    features.push_back({std::move(geometry), properties_of(change)});
    }
    for (const auto& outcome : report.tried)
        tried.push_back(tried_value(outcome));
    const Value counts =
        Value::object({{"newer", Value::list(std::move(newer))}, {"tried", Value::list(std::move(tried))}});
    return to_geojson(features, head({"compare",
                                      program_version,
                                      plan,
                                      report.as_of,
                                      report.cells,
                                      report.required_m,
                                      report.required_words,
                                      tide_words(report),
                                      stream_words(false),
                                      {},
                                      counts,
                                      report.diagnostics}));
}

std::string soundings_csv(const jobs::CompareReport& report) {
    std::string out = "by,time_utc,lon,lat,soundings,logged_m,tide_m,sounded_m,charted_m,charted_shoalest_m,"
                      "charted_deepest_m,survey_doubt_m,difference_m,local_m,local_change,grade,remark\r\n";
    for (const auto& outcome : report.tried)
        for (const auto& p : outcome.places)
            out += fmt::format("{},{},{:.7f},{:.7f},{},{:.2f},{},{},{},{},{},{},{},{},{},{},{}\r\n",
                               csv_cell(outcome.run.by), to_iso_utc(p.at), p.place.lon_deg, p.place.lat_deg,
                               p.soundings, p.logged_m, metres(p.tide_m), metres(p.sounded_m),
                               metres(p.charted_m), metres(p.shoalest_m), metres(p.deepest_m),
                               metres(p.doubt_m), metres(p.difference_m), metres(p.local_m),
                               p.local_m ? (p.changed ? "yes" : "no") : "",
                               p.shoaler() ? "caution"
                               : p.changed ? "note"
                                           : "",
                               csv_cell(p.remark));
    return out;
}

} // namespace dangerline::overlay
