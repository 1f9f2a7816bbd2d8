#include "overlay/head.hpp"

#include <algorithm>
#include <cmath>
#include <filesystem>

namespace dangerline::overlay {

namespace {

constexpr const char* caution_words =
    "An aid to planning, not for navigation. Official charts, notices to mariners, local rules, the "
    "coastguard's "
    "advice and the skipper's own eyes come first. Sea, weather and bottom differ from what is predicted and "
    "charted. "
    "Where nothing was found, these checks found nothing; that is all it means.";

std::string age_words(const jobs::CellNote& cell, bool day_known) {
    if (cell.notes)
        return "local notes, each with its own date";
    if (cell.newer)
        return "newer data: what the charts lack";
    if (!day_known)
        return "age not known: the plan names no day of use";
    if (!cell.days_since)
        return "age not known: the date of its last update can't be read or lies after the day of use";
    if (cell.very_stale)
        return "last update more than a year old";
    if (cell.stale)
        return "last update more than 90 days old";
    return "";
}

Value chart_value(const jobs::CellNote& cell, bool day_known) {
    return Value::object(
        {{"cell", Value::text(cell.name)},
         {"edition", Value::whole(cell.edition)},
         {"update", Value::whole(cell.update)},
         {"issued", Value::text(cell.issued)},
         {"days_since_update", day_known && cell.days_since ? Value::whole(*cell.days_since) : Value::null()},
         {"scale", Value::whole(cell.scale)},
         {"note", Value::text(age_words(cell, day_known))}});
}

Value boat_value(const HeadFacts& facts) {
    const auto& boat = facts.plan.boat;
    return Value::object({{"name", Value::text(boat.name)},
                          {"draught_m", Value::number(boat.draught_m, 2)},
                          {"speed_kn", Value::number(boat.speed_mps / mps_per_knot, 2)},
                          {"required_water_m", Value::number(facts.required_m, 2)},
                          {"required_words", Value::text(facts.required_words)}});
}

Value diagnostic_value(const Diagnostic& d) {
    // Where a file lies on somebody's disk is nobody else's business and would change the bytes.
    return Value::object({{"severity", Value::text(to_text(d.severity))},
                          {"file", Value::text(std::filesystem::path(d.file).filename().string())},
                          {"object", Value::text(d.object)},
                          {"what", Value::text(d.what)}});
}

} // namespace

const char* caution_text() {
    return caution_words;
}

Value charts_value(const std::vector<jobs::CellNote>& cells, bool day_known) {
    List charts;
    for (const auto& cell : cells)
        charts.push_back(chart_value(cell, day_known));
    return Value::list(std::move(charts));
}

Value diagnostics_value(const Diagnostics& diagnostics) {
    List list;
    for (const auto& d : diagnostics)
        list.push_back(diagnostic_value(d));
    return Value::list(std::move(list));
}

Members head(const HeadFacts& facts) {
    Members out{{"job", Value::text(facts.job)},
                {"version", Value::text(facts.version)},
                {"caution", Value::text(caution_words)},
                {"as_of", facts.as_of ? Value::text(to_text(*facts.as_of)) : Value::null()},
                {"charts", charts_value(facts.cells, facts.as_of.has_value())},
                {"boat", boat_value(facts)},
                {"tide", Value::text(facts.tide_words)},
                {"tide_notes", Value::texts(facts.tide_notes)}};
    if (facts.plan.wind)
        out.push_back({"wind", Value::text(facts.plan.wind->words)});
    out.push_back({"stream", Value::text(facts.stream_words)});
    auto assumptions = facts.plan.assumptions;
    assumptions.insert(assumptions.end(), facts.more_assumptions.begin(), facts.more_assumptions.end());
    out.push_back({"assumptions", Value::texts(assumptions)});
    out.push_back({"counts", facts.counts});
    out.push_back({"diagnostics", diagnostics_value(facts.diagnostics)});
    return out;
}

std::string stream_words(bool reckoned) {
    return reckoned ? "speeds are through the water, the boat crabs to stay on its line; rough water is "
                      "graded by the "
                      "largest rate met, and taken as in force where none is known or stated"
                    : "none given, none reckoned with: speeds are over the ground; rough water is graded by "
                      "the largest "
                      "rate the plan states, and taken as in force where the plan states none";
}

Value object_value(const hazard::ObjectRef& object) {
    Members out{{"lnam", Value::text(object.lnam)},
                {"class", Value::text(object.cls)},
                {"name", Value::text(object.name)},
                {"cell", Value::text(object.cell)}};
    if (object.uncharted)
        out.push_back({"uncharted", Value::flag(true)});
    return Value::object(std::move(out));
}

void add_grading(Members& to, hazard::Kind kind, hazard::Grade grade, hazard::Cause cause) {
    to.push_back({"kind", Value::text(hazard::to_text(kind))});
    to.push_back({"grade", Value::text(hazard::to_text(grade))});
    to.push_back({"cause", Value::text(hazard::to_text(cause))});
}

void add_depth(Members& to, const std::optional<double>& depth_m, bool depth_known,
               const std::optional<double>& critical_tide_m) {
    const bool has_depth = depth_m && std::isfinite(*depth_m);
    if (has_depth)
        to.push_back({"depth_m", Value::number(*depth_m, 2)});
    if (has_depth || critical_tide_m)
        to.push_back({"depth_known", Value::flag(has_depth && depth_known)});
    if (critical_tide_m)
        to.push_back({"critical_tide_m", Value::number(*critical_tide_m, 2)});
}

Value grade_counts(const std::vector<hazard::Grade>& grades) {
    using hazard::Grade;
    Members out;
    for (const Grade grade : {Grade::danger, Grade::unknown, Grade::caution, Grade::note})
        out.push_back(
            {hazard::to_text(grade), Value::whole(std::count(grades.begin(), grades.end(), grade))});
    return Value::object(std::move(out));
}

} // namespace dangerline::overlay
