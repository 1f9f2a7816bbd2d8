#include <algorithm>
#include <cmath>

#include "dangerline/overlay/overlay.hpp"
#include "overlay/geometry.hpp"
#include "overlay/head.hpp"

namespace dangerline::overlay {

namespace {

using hazard::Grade;
using passage::Finding;
using passage::Stretch;

constexpr const char* nothing_found = "Nothing found by these checks.";

/// Below this a length along the route is none: the last decimal of a coordinate.
constexpr double no_length_m = 0.01;

/// Null behind a place where the boat is no longer in time.
Value time_value(double held_to, double s, Instant t) {
    return s > held_to ? Value::null() : Value::text(to_iso_utc(t));
}

/// One route of the report with what its features share.
class RouteFeatures {
  public:
    RouteFeatures(const jobs::PassageReport& report, std::size_t number)
        : report_(report), checked_(report.routes[number]), number_(number + 1), times_(checked_.times),
          held_to_(times_.held_to()) {}

    void append_to(std::vector<Feature>& features) const {
        for (const Stretch& s : checked_.check.stretches)
            if (s.span.to > s.span.from)
                features.push_back(stretch(s));
        for (std::size_t i = 0; i < checked_.check.findings.size(); ++i)
            features.push_back(finding(checked_.check.findings[i], i + 1));
        for (std::size_t i = 0; i < checked_.track.route().places.size(); ++i)
            features.push_back(place(i));
    }

  private:
    Members begin(const char* role) const {
        return {{"role", Value::text(role)},
                {"route", Value::text(checked_.track.route().name)},
                {"route_number", Value::count(number_)}};
    }

    Value time_at(double s) const { return time_value(held_to_, s, times_.at(s)); }

    /// The finding that tells why a stretch has its first mark, or null; findings are ranked already.
    const Finding* explanation(const Stretch& s) const {
        const auto& findings = checked_.check.findings;
        const auto search = [&](const auto& fits) -> const Finding* {
            const auto it = std::find_if(findings.begin(), findings.end(), [&](const Finding& f) {
                return std::min(f.span.to, s.span.to) > std::max(f.span.from, s.span.from) && fits(f);
            });
            return it == findings.end() ? nullptr : &*it;
        };
        if (s.marks.empty())
            return nullptr;
        const auto& mark = s.marks.front();
        const auto* same =
            search([&](const Finding& f) { return f.grade == mark.grade && f.cause == mark.cause; });
        return same ? same : search([&](const Finding& f) { return f.grade == mark.grade; });
    }

    Feature stretch(const Stretch& s) const {
        Members p = begin("stretch");
        const auto mark =
            s.marks.empty() ? Stretch::Mark{Grade::none_found, hazard::Cause::none} : s.marks.front();
        const Finding* why = explanation(s);
        if (why)
            p.push_back({"kind", Value::text(hazard::to_text(why->kind))});
        p.push_back({"grade", Value::text(hazard::to_text(mark.grade))});
        p.push_back({"cause", Value::text(hazard::to_text(mark.cause))});
        List grades;
        for (const auto& m : s.marks)
            grades.push_back(Value::object({{"grade", Value::text(hazard::to_text(m.grade))},
                                            {"cause", Value::text(hazard::to_text(m.cause))}}));
        p.push_back({"grades", Value::list(std::move(grades))});
        p.push_back({"reason", Value::text(s.marks.empty() ? nothing_found
                                           : why           ? why->reason
                                                 : "Graded so by these checks; no finding tells more.")});
        if (why)
            p.push_back({"finding", Value::whole(why - checked_.check.findings.data() + 1)});
        p.push_back({"from_m", Value::number(s.span.from, 1)});
        p.push_back({"to_m", Value::number(s.span.to, 1)});
        p.push_back({"enter", time_at(s.span.from)});
        p.push_back({"leave", time_at(s.span.to)});
        return {cut_line(checked_.track.line(s.span.from, s.span.to)), std::move(p)};
    }

    /// Objects stand where they are; what is said about the route itself lies along it.
    Geometry geometry_of(const Finding& f) const {
        const bool along_route = f.kind == hazard::Kind::no_data || f.kind == hazard::Kind::survey ||
                                 f.kind == hazard::Kind::shore;
        if (!along_route)
            return rounded_place(report_.plane.to_position(f.place));
        if (f.span.to - f.span.from < no_length_m)
            return rounded_place(checked_.track.position_at(f.span.from));
        return cut_line(checked_.track.line(f.span.from, f.span.to));
    }

    Feature finding(const Finding& f, std::size_t rank) const {
        Members p = begin("finding");
        p.push_back({"number", Value::count(rank)});
        add_grading(p, f.kind, f.grade, f.cause);
        p.push_back({"reason", Value::text(f.reason)});
        p.push_back({"what", Value::text(f.what)});
        p.push_back({"object", object_value(f.object)});
        if (!f.remark.empty())
            p.push_back({"remark", Value::text(f.remark)});
        add_depth(p, f.depth_m, f.depth_known, f.critical_tide_m);
        const auto add = [&p](const char* name, const std::optional<double>& metres, int decimals) {
            if (metres && std::isfinite(*metres))
                p.push_back({name, Value::number(*metres, decimals)});
        };
        add("tide_m", f.tide_m, 2);
        add("water_m", f.water_m, 2);
        add("required_water_m", f.required_water_m, 2);
        add("spare_m", f.spare_m, 2);
        add("spare_doubt_m", f.spare_doubt_m, 2);
        add("distance_m", f.distance_m, 1);
        add("length_m", f.length_m, 1);
        p.push_back({"enter", time_value(held_to_, f.span.from, f.enter)});
        p.push_back({"leave", time_value(held_to_, f.span.to, f.leave)});
        return {geometry_of(f), std::move(p)};
    }

    Feature place(std::size_t i) const {
        const auto& route = checked_.track.route();
        const double s = checked_.track.place_coordinates()[i];
        Members p = begin("place");
        p.push_back({"number", Value::count(i + 1)});
        p.push_back({"name", Value::text(i < route.place_names.size() ? route.place_names[i] : "")});
        p.push_back({"time", time_at(s)});
        p.push_back({"distance_m", Value::number(s, 1)});
        return {rounded_place(route.places[i]), std::move(p)};
    }

    const jobs::PassageReport& report_;
    const jobs::CheckedRoute& checked_;
    std::size_t number_;
    const passage::Timetable& times_;
    double held_to_;
};

Value legs_of(const jobs::CheckedRoute& r, double held_to) {
    List legs;
    for (std::size_t i = 0; i < r.legs.size(); ++i) {
        const auto& leg = r.legs[i];
        Members p{{"number", Value::count(i + 1)},
                  {"begin", time_value(held_to, leg.from_m, leg.begin)},
                  {"end", time_value(held_to, leg.to_m, leg.end)},
                  {"course_deg", Value::number(leg.course_deg, 1)},
                  {"speed_kn", Value::number(leg.speed_mps / mps_per_knot, 2)}};
        if (leg.to_m > held_to) {
            legs.push_back(Value::object(std::move(p)));
            continue;
        }
        p.push_back({"made_good_kn", Value::number(leg.made_good_mps / mps_per_knot, 2)});
        if (leg.steer_deg)
            p.push_back({"steer_deg", Value::number(*leg.steer_deg, 1)});
        if (leg.stream) {
            p.push_back({"stream_set_deg", Value::number(leg.stream->set_deg(), 0)});
            p.push_back({"stream_rate_kn", Value::number(leg.stream->rate_mps() / mps_per_knot, 2)});
        }
        if (leg.wait_s > 0.0)
            p.push_back({"wait_min", Value::number(leg.wait_s / 60.0, 1)});
        legs.push_back(Value::object(std::move(p)));
    }
    return Value::list(std::move(legs));
}

Value checkpoints_of(const jobs::CheckedRoute& r, double held_to) {
    List list;
    for (const auto& c : r.checkpoints) {
        Members p{{"place", Value::count(c.place + 1)},
                  {"time", time_value(held_to, r.track.place_coordinates()[c.place], c.when)}};
        const auto add = [&p](const char* name, const std::optional<double>& metres) {
            if (metres)
                p.push_back({name, Value::number(*metres, 2)});
        };
        add("tide_m", c.tide_m);
        add("water_m", c.water_m);
        if (c.water_m)
            add("doubt_m", c.doubt_m);
        add("least_m", c.least_m);
        add("most_m", c.most_m);
        if (!c.reason.empty())
            p.push_back({"reason", Value::text(c.reason)});
        list.push_back(Value::object(std::move(p)));
    }
    return Value::list(std::move(list));
}

Value counts_of(const jobs::CheckedRoute& r) {
    std::vector<Grade> grades;
    for (const auto& f : r.check.findings)
        grades.push_back(f.grade);
    const double held_to = r.times.held_to();
    return Value::object(
        {{"route", Value::text(r.track.route().name)},
         {"departure", Value::text(to_iso_utc(r.times.departure()))},
         {"arrival", time_value(held_to, r.track.length(), r.times.arrival())},
         {"length_nm", Value::number(r.track.length() / metres_per_nautical_mile, 2)},
         {"not_covered_nm", Value::number(r.check.tested.not_covered_m / metres_per_nautical_mile, 2)},
         {"hazards_tested", Value::count(r.check.tested.hazards)},
         {"within_1_nm", Value::count(r.check.tested.within_one_mile)},
         {"findings", grade_counts(grades)},
         {"worst", Value::text(hazard::to_text(r.check.worst))},
         {"legs", legs_of(r, held_to)},
         {"checkpoints", checkpoints_of(r, held_to)},
         {"warnings", Value::texts(r.warnings)}});
}

} // namespace

std::string passage_geojson(const jobs::PassageReport& report, const std::string& program_version) {
    std::vector<Feature> features;
    List counts;
    std::vector<std::string> notes = report.tide_notes;
    notes.insert(notes.end(), report.stream_notes.begin(), report.stream_notes.end());
    notes.insert(notes.end(), report.warnings.begin(), report.warnings.end());
    for (std::size_t i = 0; i < report.routes.size(); ++i) {
        RouteFeatures(report, i).append_to(features);
        counts.push_back(counts_of(report.routes[i]));
    }
    return to_geojson(features, head({"passage", program_version, report.plan, report.as_of, report.cells,
                                      report.required_m, report.required_words, report.tide_words,
                                      stream_words(report.streams), notes, Value::list(std::move(counts)),
                                      report.diagnostics}));
}

} // namespace dangerline::overlay
