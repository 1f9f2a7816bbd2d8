#include <algorithm>

#include "dangerline/overlay/drift.hpp"
#include "overlay/drift_head.hpp"
#include "overlay/geometry.hpp"

namespace dangerline::overlay {

namespace {

using drift::Outcome;
using jobs::DriftedBoat;
using jobs::DriftedMark;
using jobs::DriftReport;

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
    return Value::object({{"early_min", minutes_value(t.early_s)},
                          {"median_min", minutes_value(t.median_s)},
                          {"late_min", minutes_value(t.late_s)}});
}

Value outcome_value(const Outcome& o, const DriftReport& report) {
    Members p{{"outcome", Value::text(to_text(o.kind))}, {"share", share_value(o.share)}};
    if (o.kind == Outcome::Kind::unknown)
        p.push_back({"why", Value::text(drift::to_text(o.end))});
    if (o.hazard)
        add_danger(p, report.hazards.at(*o.hazard), o.moved_m);
    p.push_back({"touched_share", share_value(o.touched_share)});
    p.push_back({"early_min", minutes_value(o.early_s)});
    p.push_back({"median_min", minutes_value(o.median_s)});
    return Value::object(std::move(p));
}

Value aground_value(const drift::Aground& a, const DriftReport& report) {
    return Value::object({{"what", Value::text(report.hazards.at(a.hazard).label)},
                          {"share", share_value(a.share)},
                          {"touched", time_value(a.touched)},
                          {"tide", Value::text(!a.falling   ? "unknown"
                                               : *a.falling ? "falling"
                                                            : "rising")},
                          {"at_any_tide", Value::flag(a.at_any_tide)},
                          {"until", a.until ? time_value(*a.until) : Value::null()},
                          {"followed_to", time_value(a.followed_to)}});
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
              {"touched_share", share_value(boat.summary.touched_share)},
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
              {"engine_dies", time_value(mark.at)},
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
                            {"soonest_min", minutes_value(mark.envelope->soonest_s)}})});
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
        add_danger(p, report_.hazards.at(c.hazard), c.moved_m);
        p.push_back({"share", share_value(c.share)});
        p.push_back({"median_min", minutes_value(c.median_s)});
        features.push_back({rounded_place(report_.plane.to_position(c.place)), std::move(p)});
    }
    void add_outline(const DriftedMark& mark, const DriftedBoat& boat, const drift::Outline& o) {
        if (o.area.empty())
            return;
        Members p = common("outline", mark, boat);
        p.push_back({"hour", Value::whole(o.hour)});
        p.push_back({"at", time_value(mark.at + 3600.0 * o.hour)});
        p.push_back({"share", share_value(o.share)});
        features.push_back({cut_areas(unproject(report_.plane, o.area)), std::move(p)});
    }
    void add_track(const DriftedMark& mark, const DriftedBoat& boat, const DriftedBoat::Track& t) {
        Members p = common("track", mark, boat);
        Line line;
        List times;
        for (std::size_t i = 0; i < t.points.size(); ++i) {
            line.push_back(report_.plane.to_position(t.points[i]));
            const double s = std::min(drift::track_step_s * static_cast<double>(i), t.end_s);
            times.push_back(time_value(mark.at + (i + 1 == t.points.size() ? t.end_s : s)));
        }
        if (line.size() < 2) { // it never left
            line.push_back(line.front());
            times.push_back(times.front());
        }
        p.push_back({"times", Value::list(std::move(times))});
        p.push_back({"ends", Value::text(drift::to_text(t.end))});
        p.push_back({"danger_min", t.entered ? minutes_value(t.zone_s) : Value::null()});
        features.push_back({cut_line(line), std::move(p)});
    }
    const DriftReport& report_;
};

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
    return to_geojson(collector.features, head(drift_facts("drift", report, program_version, counts)));
}

} // namespace dangerline::overlay
