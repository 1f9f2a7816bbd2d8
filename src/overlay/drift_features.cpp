#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "dangerline/overlay/drift.hpp"
#include "overlay/geometry.hpp"
#include "overlay/head.hpp"

namespace dangerline::overlay {

namespace {

using drift::Outcome;
using jobs::DriftedBoat;
using jobs::DriftedMark;
using jobs::DriftReport;

/// Null where never.
Value minutes(double seconds) {
    return Value::number(seconds / 60.0, 1);
}
Value share(double value) {
    return Value::number(value, 4);
}
Value time(Instant t) {
    return Value::text(to_iso_utc(t));
}

const char* to_text(Outcome::Kind kind) {
    switch (kind) {
    case Outcome::Kind::danger:
        return "danger";
    case Outcome::Kind::unknown:
        return "unknown";
    case Outcome::Kind::afloat:
        return "afloat";
    }
    return "";
}

Value times_value(const drift::Times& t) {
    return Value::object({{"early_min", minutes(t.early_s)},
                          {"median_min", minutes(t.median_s)},
                          {"late_min", minutes(t.late_s)}});
}

Value outcome_value(const Outcome& o, const DriftReport& report) {
    Members p{{"outcome", Value::text(to_text(o.kind))}, {"share", share(o.share)}};
    if (o.kind == Outcome::Kind::unknown)
        p.push_back({"why", Value::text(drift::to_text(o.end))});
    if (o.hazard) {
        const auto& h = report.hazards.at(*o.hazard);
        p.push_back({"what", Value::text(h.label)});
        p.push_back({"kind", Value::text(hazard::to_text(h.kind))});
        p.push_back({"object", object_value(h.object)});
    }
    p.push_back({"touched_share", share(o.touched_share)});
    p.push_back({"early_min", minutes(o.early_s)});
    p.push_back({"median_min", minutes(o.median_s)});
    return Value::object(std::move(p));
}

Value aground_value(const drift::Aground& a, const DriftReport& report) {
    return Value::object({{"what", Value::text(report.hazards.at(a.hazard).label)},
                          {"share", share(a.share)},
                          {"touched", time(a.touched)},
                          {"tide", Value::text(a.falling ? "falling" : "rising")},
                          {"at_any_tide", Value::flag(a.at_any_tide)},
                          {"until", a.until ? time(*a.until) : Value::null()}});
}

Value boat_value(const DriftedBoat& boat, const DriftReport& report) {
    List outcomes;
    for (const auto& o : boat.summary.outcomes)
        outcomes.push_back(outcome_value(o, report));
    Members p{{"boat", Value::text(boat.kind)},
              {"swamped", Value::flag(boat.swamped)},
              {"leeway_percent", Value::number(100.0 * boat.leeway.share, 2)},
              {"leeway_offset_kn", Value::number(boat.leeway.offset_mps / mps_per_knot, 2)},
              {"leeway_source", Value::text(boat.source)},
              {"in_hand", times_value(boat.summary.trouble)},
              {"to_danger", times_value(boat.summary.zone)},
              {"to_touch", times_value(boat.summary.touch)},
              {"touched_share", share(boat.summary.touched_share)},
              {"outcomes", Value::list(std::move(outcomes))}};
    if (boat.summary.aground)
        p.push_back({"aground", aground_value(*boat.summary.aground, report)});
    p.push_back({"sentences", Value::texts(boat.sentences)});
    return Value::object(std::move(p));
}

Feature mark_feature(const DriftedMark& mark, const DriftReport& report) {
    List boats;
    for (const auto& boat : mark.boats)
        boats.push_back(boat_value(boat, report));
    Members p{{"role", Value::text("mark")},
              {"mark", Value::text(mark.name)},
              {"engine_dies", time(mark.at)},
              {"engine_dies_local", Value::text(report.plan.zone.to_iso(mark.at))},
              {"wind", Value::text(mark.wind_words)},
              {"stream", Value::text(mark.stream_words)},
              {"shortest", Value::text(mark.boats.at(mark.shortest).kind)},
              {"boats", Value::list(std::move(boats))}};
    if (mark.envelope)
        p.push_back(
            {"envelope",
             Value::object({{"stream_at_most_kn", Value::number(mark.envelope->bound_mps / mps_per_knot, 2)},
                            {"nearest_danger_m", Value::number(mark.envelope->nearest_m, 0)},
                            {"soonest_min", minutes(mark.envelope->soonest_s)}})});
    return {rounded_place(mark.position), std::move(p)};
}

class Collector {
  public:
    explicit Collector(const DriftReport& report) : report_(report) {}
    void add(const DriftedMark& mark) {
        features.push_back(mark_feature(mark, report_));
        for (const auto& boat : mark.boats) {
            for (const auto& c : boat.summary.clusters)
                add_cluster(mark, boat, c);
            for (const auto& o : boat.outlines)
                add_outline(mark, boat, o);
            for (const auto& t : boat.tracks)
                add_track(mark, boat, t);
        }
    }
    std::vector<Feature> features;
    std::size_t runs = 0;

  private:
    Members common(const char* role, const DriftedMark& mark, const DriftedBoat& boat) const {
        return {
            {"role", Value::text(role)}, {"mark", Value::text(mark.name)}, {"boat", Value::text(boat.kind)}};
    }
    void add_cluster(const DriftedMark& mark, const DriftedBoat& boat, const drift::Cluster& c) {
        Members p = common("cluster", mark, boat);
        const auto& h = report_.hazards.at(c.hazard);
        p.push_back({"what", Value::text(h.label)});
        p.push_back({"kind", Value::text(hazard::to_text(h.kind))});
        p.push_back({"object", object_value(h.object)});
        p.push_back({"share", share(c.share)});
        p.push_back({"median_min", minutes(c.median_s)});
        features.push_back({rounded_place(report_.plane.to_position(c.place)), std::move(p)});
    }
    void add_outline(const DriftedMark& mark, const DriftedBoat& boat, const drift::Outline& o) {
        if (o.area.empty())
            return;
        Members p = common("outline", mark, boat);
        p.push_back({"hour", Value::whole(o.hour)});
        p.push_back({"at", time(mark.at + 3600.0 * o.hour)});
        p.push_back({"share", share(o.share)});
        features.push_back({cut_areas(unproject(report_.plane, o.area)), std::move(p)});
    }
    void add_track(const DriftedMark& mark, const DriftedBoat& boat, const DriftedBoat::Track& t) {
        Members p = common("track", mark, boat);
        Line line;
        List times;
        for (std::size_t i = 0; i < t.points.size(); ++i) {
            line.push_back(report_.plane.to_position(t.points[i]));
            const double s = std::min(drift::track_step_s * static_cast<double>(i), t.end_s);
            times.push_back(time(mark.at + (i + 1 == t.points.size() ? t.end_s : s)));
        }
        if (line.size() < 2) { // it never left
            line.push_back(line.front());
            times.push_back(times.front());
        }
        p.push_back({"times", Value::list(std::move(times))});
        p.push_back({"ends", Value::text(drift::to_text(t.end))});
        p.push_back({"danger_min", t.entered ? minutes(t.zone_s) : Value::null()});
        features.push_back({cut_line(line), std::move(p)});
    }
    const DriftReport& report_;
};

HeadFacts facts_of(const char* job, const DriftReport& r, const std::string& version, Value counts) {
    std::vector<std::string> notes = r.tide_notes;
    notes.insert(notes.end(), r.stream_notes.begin(), r.stream_notes.end());
    notes.insert(notes.end(), r.warnings.begin(), r.warnings.end());
    const std::string stream = r.plan.drift.stream ? r.plan.drift.stream->words
                               : r.stream_notes.empty()
                                   ? "none known: what a boat drifts onto can't be said"
                                   : "as known at each place and time; unknown ends a drift";
    return {job,
            version,
            r.plan,
            r.as_of,
            r.cells,
            r.required_m,
            r.required_words,
            r.tide_words,
            stream,
            std::move(notes),
            std::move(counts),
            r.diagnostics,
            r.plan.drift_assumptions};
}

std::string csv_cell(const std::string& words) {
    if (words.find_first_of(",\"\r\n") == std::string::npos)
        return words;
    std::string out = "\"";
    for (const char c : words)
        out += c == '"' ? std::string("\"\"") : std::string(1, c);
    return out + "\"";
}

std::string csv_minutes(double seconds) {
    return std::isfinite(seconds) ? fmt::format("{:.1f}", seconds / 60.0) : std::string();
}

/// Of rows that differ in the hour alone the one with the least time.
std::vector<const jobs::DriftRow*> worst_hours(const jobs::DriftTableReport& report) {
    std::vector<const jobs::DriftRow*> out;
    for (const auto& row : report.rows) {
        const auto alike = std::find_if(out.begin(), out.end(), [&](const jobs::DriftRow* o) {
            return o->mark == row.mark && o->springs == row.springs &&
                   o->wind_from_deg == row.wind_from_deg && o->wind_mps == row.wind_mps;
        });
        if (alike == out.end())
            out.push_back(&row);
        else if (row.early_s < (*alike)->early_s)
            *alike = &row;
    }
    return out;
}

} // namespace

std::string drift_geojson(const DriftReport& report, const std::string& program_version) {
    Collector collector(report);
    std::size_t runs = 0;
    for (const auto& mark : report.marks) {
        collector.add(mark);
        runs += mark.boats.size();
    }
    const Value counts = Value::object({{"hazards_tested", Value::count(report.hazards_tested)},
                                        {"runs", Value::count(runs)},
                                        {"boats_a_run", Value::count(report.plan.drift.particles)},
                                        {"seed", Value::count(report.plan.drift.seed)},
                                        {"touching_water_m", Value::number(report.touching_m, 2)}});
    return to_geojson(collector.features, head(facts_of("drift", report, program_version, counts)));
}

std::string drift_table_csv(const jobs::DriftTableReport& report) {
    std::string out =
        "mark,tide,hours_after_high_water,begin_local,begin_utc,wind_from_deg,wind_kn,boat,"
        "minutes_in_hand,minutes_median,danger_percent,unknown_percent,afloat_percent,danger\r\n";
    for (const auto& row : report.rows)
        out += fmt::format("{},{},{},{},{},{:.1f},{:.1f},{},{},{},{:.1f},{:.1f},{:.1f},{}\r\n",
                           csv_cell(report.base.marks.at(row.mark).name), row.springs ? "springs" : "neaps",
                           row.tide_hour, report.base.plan.zone.to_iso(row.begin), to_iso_utc(row.begin),
                           row.wind_from_deg, row.wind_mps / mps_per_knot, csv_cell(row.boat),
                           csv_minutes(row.early_s), csv_minutes(row.median_s), 100.0 * row.danger_share,
                           100.0 * row.unknown_share, 100.0 * row.afloat_share,
                           row.hazard ? csv_cell(report.base.hazards.at(*row.hazard).label) : "");
    return out;
}

std::string drift_table_geojson(const jobs::DriftTableReport& report, const std::string& program_version) {
    std::vector<Feature> features;
    std::size_t none = 0;
    for (const auto* row : worst_hours(report)) {
        if (!row->hazard || !row->place) {
            ++none;
            continue;
        }
        const auto& mark = report.base.marks.at(row->mark);
        const auto& h = report.base.hazards.at(*row->hazard);
        Members p{{"role", Value::text("drift")},
                  {"mark", Value::text(mark.name)},
                  {"tide", Value::text(row->springs ? "springs" : "neaps")},
                  {"hours_after_high_water", Value::whole(row->tide_hour)},
                  {"wind_from_deg", Value::number(row->wind_from_deg, 1)},
                  {"wind_kn", Value::number(row->wind_mps / mps_per_knot, 1)},
                  {"boat", Value::text(row->boat)},
                  {"minutes_in_hand", minutes(row->early_s)},
                  {"minutes_median", minutes(row->median_s)},
                  {"danger_share", share(row->danger_share)},
                  {"unknown_share", share(row->unknown_share)},
                  {"what", Value::text(h.label)},
                  {"kind", Value::text(hazard::to_text(h.kind))},
                  {"object", object_value(h.object)}};
        features.push_back(
            {cut_line({mark.position, report.base.plane.to_position(*row->place)}), std::move(p)});
    }
    List days;
    for (const auto& day : report.days)
        days.push_back(Value::object({{"mark", Value::text(report.base.marks.at(day.mark).name)},
                                      {"tide", Value::text(day.springs ? "springs" : "neaps")},
                                      {"high_water", time(day.high_water)},
                                      {"range_m", Value::number(day.range_m, 2)}}));
    const Value counts = Value::object({{"hazards_tested", Value::count(report.base.hazards_tested)},
                                        {"combinations", Value::count(report.rows.size())},
                                        {"without_danger", Value::count(none)},
                                        {"boats_a_run", Value::count(report.base.plan.drift.particles)},
                                        {"seed", Value::count(report.base.plan.drift.seed)},
                                        {"days", Value::list(std::move(days))},
                                        {"sentences", Value::texts(report.sentences)}});
    return to_geojson(features, head(facts_of("drift-table", report.base, program_version, counts)));
}

} // namespace dangerline::overlay
