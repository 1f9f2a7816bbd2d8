// Small reports made by hand, around 45 N 180 E where no coast is.
#pragma once

#include <limits>
#include <nlohmann/json.hpp>

#include "dangerline/overlay/newer.hpp"
#include "dangerline/overlay/overlay.hpp"

namespace reports {

using namespace dangerline;
using Json = nlohmann::ordered_json;

constexpr double any_tide = std::numeric_limits<double>::infinity();

inline Instant noon() {
    return *parse_iso_utc("2026-06-01T12:00Z");
}

inline plan::Plan a_plan() {
    plan::Plan p;
    p.file = "nowhere/plan.toml";
    p.as_of = CalendarDay{2026, 6, 1};
    p.boat = {"Little Tern", 0.6, 0.3, 10.0 * mps_per_knot, std::nullopt, 0.5};
    p.wind = plan::Wind{225.0, 10.3, "wind from SW 20 kn, blowing towards NE"};
    p.assumptions = {"0.3 m of squat at the hump", "0.5 m for waves, since none are given"};
    return p;
}

inline std::vector<jobs::CellNote> some_cells() {
    return {{"XX3DEMO1", 2, 1, "20260501", 31, 22000, false, false},
            {"XX3DEMO2", 1, 0, "20240101", 882, 45000, true, true},
            {"XX3DEMO3", 1, 0, "junk", std::nullopt, 45000, true, true},
            {"XX3DEMO4", 1, 3, "20260101", 151, 45000, true, false}};
}

inline Diagnostics some_diagnostics() {
    return {
        {Severity::broken, "/somewhere/deep/XX3DEMO1.000", "DEPARE 0226000000010001", "area does not close"},
        {Severity::note, "XX3DEMO2.000", "", "no update on disk"}};
}

inline passage::Route a_route() {
    // From west of 180 degrees to the east of it, then north.
    return {"Out to the bank",
            "routes.gpx, line 1",
            {{179.95, 45.0}, {180.05, 45.02}, {180.05, 45.06}},
            {"Slip", "", "Bank \"Three\""},
            {50.0, 50.0},
            {5.0, 2.5},
            std::nullopt,
            std::nullopt};
}

inline passage::Finding a_finding(hazard::Grade grade, hazard::Cause cause, hazard::Kind kind,
                                  geo::Span span) {
    passage::Finding f;
    f.grade = grade;
    f.cause = cause;
    f.kind = kind;
    f.object = {"022600000001000A", "UWTROC", "Old Tom", "XX3DEMO1"};
    f.what = "rock, covers and uncovers";
    f.reason = "Rock \"Old Tom\": charted 0.6 m; 1.9 m of water, 0.5 m less than required.";
    f.span = span;
    f.length_m = span.to - span.from;
    f.enter = noon() + span.from / 5.0;
    f.leave = noon() + span.to / 5.0;
    f.distance_m = 12.34;
    return f;
}

inline std::vector<passage::Finding> some_findings() {
    using hazard::Cause, hazard::Grade, hazard::Kind;
    auto rock = a_finding(Grade::danger, Cause::none, Kind::depth, {1000.0, 1100.0});
    rock.remark = "Reported 1987, safe to assume it is there";
    rock.depth_m = 0.6;
    rock.depth_known = true;
    rock.critical_tide_m = 1.8;
    rock.tide_m = 1.2999;
    rock.water_m = 1.8999;
    rock.required_water_m = 2.4;
    rock.spare_m = -0.5001;
    rock.spare_doubt_m = 0.4;
    rock.place = {500.0, 20.0}; // east of 180 degrees
    auto wreck = a_finding(Grade::danger, Cause::none, Kind::depth, {1050.0, 1060.0});
    wreck.what = "dangerous wreck";
    wreck.object.uncharted = true;
    wreck.reason = "Dangerous wreck: height not known, counted as in the way at any tide.";
    wreck.critical_tide_m = any_tide;
    wreck.required_water_m = 2.4;
    wreck.distance_m = any_tide;
    wreck.place = {-500.0, 20.0};
    auto gap = a_finding(Grade::unknown, Cause::none, Kind::no_data, {3000.0, 6000.0});
    gap.object = {};
    gap.what = "water no chart covers";
    gap.reason = "Water no chart covers: nothing is known here.";
    auto survey = a_finding(Grade::caution, Cause::survey, Kind::survey, {2000.0, 9000.0});
    survey.object = {"022600000002000B", "M_QUAL", "", "XX3DEMO1"};
    survey.what = "lines-only survey of 1940-49";
    survey.reason = "3.8 of 6.7 NM over lines-only survey of 1940-49.";
    auto shore = a_finding(Grade::caution, Cause::assumed, Kind::shore, {0.0, 0.0});
    shore.object = {};
    shore.what = "shore stretch at the start";
    shore.reason = "Shore stretch at the start: length not known.";
    auto rip = a_finding(Grade::note, Cause::none, Kind::rough_water, {8000.0, 8200.0});
    rip.what = "overfalls";
    rip.reason = "Overfalls: stream at most 0.8 kn.";
    return {rock, wreck, gap, survey, shore, rip};
}

inline jobs::PassageReport a_passage() {
    using hazard::Cause, hazard::Grade;
    geo::Plane plane({180.0, 45.0});
    const passage::Track track(a_route(), plane);
    const passage::Timetable times(track, noon());
    passage::Check check;
    check.findings = some_findings();
    check.stretches = {{{0.0, 1000.0}, {}},
                       {{1000.0, 1100.0}, {{Grade::danger, Cause::none}, {Grade::caution, Cause::survey}}},
                       {{1100.0, 1100.0}, {{Grade::danger, Cause::none}}},
                       {{1100.0, 2000.0}, {{Grade::caution, Cause::margin}}},
                       {{2000.0, 9000.0}, {{Grade::caution, Cause::survey}}},
                       {{9000.0, track.length()}, {}}};
    check.tested = {412, 37, 900.0, 3000.0};
    check.worst = Grade::danger;
    std::vector<jobs::CheckedRoute> routes;
    auto legs = passage::legs_of(track, times);
    legs[0].stream = sea::stream_of(120.0, 0.6);
    legs[0].steer_deg = 98.4;
    legs[0].wait_s = 1800.0;
    std::vector<passage::Checkpoint> checkpoints(2);
    checkpoints[0] = {0, noon(), 1.3, 4.2, 0.5, 3.1, 7.9, ""};
    checkpoints[1] = {1, noon() + 600.0, {}, {}, 0.0, {}, {}, "no tide is known for this time"};
    routes.push_back({track, times, legs, checkpoints, check, {"1.6 NM of the route lie on no chart"}});
    return {a_plan(),
            std::move(plane),
            some_cells(),
            CalendarDay{2026, 6, 1},
            2.4,
            "0.6 draught + 0.3 squat + 1.0 under the keel + 0.5 waves",
            "fixed height 1.30 m above 23 (lowest astronomical tide)",
            {"tide of 2026 above chart datum: lowest 0.10 m, mean 2.50 m, highest 5.10 m"},
            false,
            {},
            {},
            std::move(routes),
            Grade::danger,
            some_diagnostics()};
}

inline geo::Ring square(double x, double y, double half) {
    return {{x - half, y - half},
            {x - half, y + half},
            {x + half, y + half},
            {x + half, y - half},
            {x - half, y - half}};
}

inline jobs::Zone a_zone(std::vector<geo::PolygonRings> area) {
    jobs::Zone z;
    z.kind = hazard::Kind::depth;
    z.object = {"022600000001000A", "UWTROC", "Old Tom", "XX3DEMO1"};
    z.what = "rock, covers and uncovers";
    z.grade = hazard::Grade::danger;
    z.tide_m = 1.5;
    z.radius_m = 50.0;
    z.depth_m = 0.6;
    z.depth_known = true;
    z.critical_tide_m = 1.8;
    z.reason = "Rock \"Old Tom\": charted 0.6 m, within 50 m.";
    z.area = std::move(area);
    return z;
}

inline jobs::ZonesReport some_zones() {
    // The first crosses 180 degrees, so that both parts keep a piece of ... each its own hole.
    auto crossing = a_zone({{square(0.0, 0.0, 300.0), square(-100.0, 0.0, 50.0), square(100.0, 0.0, 50.0)}});
    auto east = a_zone({{square(2000.0, 500.0, 100.0)}, {square(2500.0, 500.0, 100.0)}});
    east.reading = hazard::ZoneReading::wide;
    east.object.uncharted = true;
    east.grade = hazard::Grade::caution;
    east.cause = hazard::Cause::survey;
    east.critical_tide_m = any_tide;
    east.depth_m.reset();
    east.depth_known = false;
    return {a_plan(),     geo::Plane({180.0, 45.0}),
            some_cells(), CalendarDay{2026, 6, 1},
            2.4,          "0.6 draught + 0.3 squat + 1.0 under the keel + 0.5 waves",
            {0.0, 1.5},   {crossing, east},
            412,          some_diagnostics()};
}

inline jobs::NewerChange a_change(survey::Change change, std::optional<double> metres, geo::Shape shape) {
    jobs::NewerChange c;
    c.difference.change = change;
    c.difference.metres = metres;
    c.difference.doubt_m = 30.04;
    c.difference.adds = change != survey::Change::gone;
    c.source = "Works register";
    c.what = "wreck";
    c.sentence = "Wreck: " + std::string(survey::to_text(change)) + " (Works register of 2026-05-01).";
    if (change != survey::Change::gone)
        c.newer = {"0000000000010000", "WRECKS", "", "Works register", true};
    if (change != survey::Change::missing)
        c.charted = {"022600000001000C", "WRECKS", "Old wreck", "XX3DEMO1"};
    c.shapes = {std::make_shared<const geo::Shape>(std::move(shape))};
    return c;
}

inline jobs::CompareReport some_changes() {
    using survey::Change;
    jobs::CompareReport r{a_plan(), geo::Plane({180.0, 45.0})};
    r.cells = some_cells();
    r.as_of = CalendarDay{2026, 6, 1};
    r.required_m = 2.4;
    r.required_words = "0.6 draught + 0.3 squat + 1.0 under the keel + 0.5 waves";
    r.assumptions = {"a platform of newer data drawn as a point without a size is taken as 25 m in radius"};
    r.diagnostics = some_diagnostics();
    auto& newer = r.newer.emplace_back();
    newer.name = "Works register";
    newer.dated = "2026-05-01";
    newer.classes = {"CBLSUB", "WRECKS"};
    newer.compared = 7;
    newer.charted = 4;
    newer.gone_judged = true;
    newer.changes = {a_change(Change::missing, {}, geo::Shape::of_points({{500.0, 20.0}})),
                     a_change(Change::missing, {}, geo::Shape::of_area({square(-2000.0, 0.0, 100.0)})),
                     a_change(Change::moved, 271.26, geo::Shape::of_points({{-400.0, 20.0}})),
                     a_change(Change::larger, 80.5, geo::Shape::of_lines({{{-300.0, 5.0}, {-900.0, 5.0}}})),
                     a_change(Change::larger, 80.5, geo::Shape::of_lines({{{-300.0, 9.0}, {900.0, 9.0}}})),
                     a_change(Change::depth_differs, -0.5, geo::Shape::of_points({{40.0, 20.0}})),
                     a_change(Change::gone, {}, geo::Shape::of_points({{900.0, -20.0}}))};
    newer.left_out = {3, 2, 1, 4};
    newer.changes[0].radius_m = 25.0;
    newer.changes[0].off_m = 23.04;
    newer.changes[0].off = "Out to the bank";
    newer.changes[5].newer_depth_m = 1.6;
    newer.changes[5].charted_depth_m = 2.1;
    auto& tried = r.tried.emplace_back();
    tried.run = {"A. \"Nother\"", {2026, 5, 30}, {}};
    tried.length_m = 1852.0;
    tried.offset = survey::CommonOffset{0.12, 0.08};
    tried.offset_words = "median difference +0.1 m over 12 places, and local change at 1 of them";
    jobs::SoundedPlace known{{-27.9, 46.05}, noon(), 3, 4.2};
    known.tide_m = 1.3;
    known.sounded_m = 3.2;
    known.charted_m = 4.3;
    known.shoalest_m = 2.0;
    known.deepest_m = 5.0;
    known.doubt_m = 1.1;
    known.difference_m = -1.1;
    known.local_m = -1.22;
    known.changed = true;
    known.remark = "1.2 m shoaler than the rest of the log";
    jobs::SoundedPlace unknown{{-27.8, 46.05}, noon() + 60.0, 1, 7.0};
    unknown.remark = "not known: no chart covers this water";
    tried.places = {known, unknown};
    r.tried.emplace_back().run = {"B", {2026, 1, 1}, {}};
    r.tried.back().why_not = "it was run 151 days ago, over 90";
    return r;
}

} // namespace reports
