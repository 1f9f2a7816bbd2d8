#include "dangerline/plan/plan.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"
#include "dangerline/files/routes.hpp"
#include "plan/keys.hpp"
#include "plan/read_anchor.hpp"
#include "plan/read_drift.hpp"
#include "plan/read_mark.hpp"
#include "plan/read_newer.hpp"
#include "plan/read_season.hpp"
#include "plan/read_stream.hpp"
#include "plan/read_survey.hpp"
#include "plan/read_tide.hpp"
#include "plan/section.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <fstream>
#include <iterator>
#include <stdexcept>

namespace dangerline::plan {

namespace {

namespace fs = std::filesystem;

// Assumptions of this project for whatever a plan does not say; others stand as defaults in passage/.
constexpr double under_keel_open_m = 1.0;
constexpr double under_keel_sheltered_m = 0.5;
constexpr double wave_allowance_per_height = 1.0;

// Beyond these a value is a slip of the pen.
constexpr double fastest_boat_kn = 80.0;
constexpr double strongest_wind_kn = 200.0;
constexpr std::uintmax_t longest_plan_bytes = 1'000'000;

[[noreturn]] void refuse_file(const fs::path& file, const std::string& what, const std::string& remedy) {
    throw Failure(Fault::plan, {.file = file.string(),
                                .object = {},
                                .what = what,
                                .expected = "a plan, a text file in TOML",
                                .remedy = remedy});
}

std::string content_of(const fs::path& file) {
    std::error_code error;
    const fs::file_status status = fs::status(file, error);
    if (!fs::exists(status))
        refuse_file(file, "no such file", "check the path");
    if (fs::is_directory(status))
        refuse_file(file, "this is a folder", "the plan file in it");
    if (!fs::is_regular_file(status))
        refuse_file(file, "this is no ordinary file", "");
    const std::uintmax_t size = fs::file_size(file, error);
    if (!error && size > longest_plan_bytes)
        refuse_file(file, fmt::format("{} bytes are too many for a plan", size), "check the path");
    std::ifstream in(file, std::ios::binary);
    std::string content{std::istreambuf_iterator<char>(in), {}};
    if (!in.is_open() || in.bad())
        refuse_file(file, "the file can't be read", "check its permissions");
    if (content.empty())
        refuse_file(file, "the file is empty", "");
    return content;
}

TimeZone read_zone(const Section& head) {
    const char* expected = "a zone of the IANA database, like \"Atlantic/Azores\"";
    const std::string name = head.needed_text("zone", expected);
    try {
        return TimeZone(name);
    } catch (const std::invalid_argument&) {
        head.refuse("zone", "no time zone named " + in_quotes(name), expected);
    }
}

ChartSource read_source(const Section& section) {
    ChartSource source{section.needed_path("file"), {}, section.line()};
    source.stated.scale = section.whole_number("scale", 500, 50'000'000);
    source.stated.sounding_datum = section.whole_number("sounding_datum", 1, 30);
    source.stated.vertical_datum = section.whole_number("vertical_datum", 1, 30);
    if (const auto role = section.text("role")) {
        if (*role != "chart" && *role != "notes")
            section.refuse("role", "unknown role " + in_quotes(*role), "\"chart\" or \"notes\"");
        source.stated.notes = *role == "notes";
    }
    return source;
}

void read_head(const Section& head, Plan& plan) {
    plan.title = head.text("title").value_or("");
    plan.zone = read_zone(head);
    plan.as_of = head.day("as_of");
    plan.depart = head.local_time("depart", plan.zone);
    for (auto& path : head.needed_paths("charts"))
        plan.charts.push_back({std::move(path), {}, 0});
    for (const Section& section : head.tables("source"))
        plan.charts.push_back(read_source(section));
    if (const auto zones = head.table("zones"))
        plan.zones_within_m =
            zones->number("within_m", {0.0, 100'000.0, "metres", true}).value_or(plan.zones_within_m);
}

void read_boat(const Section& section, Plan& plan) {
    passage::Boat& boat = plan.boat;
    boat.name = section.text("name").value_or("");
    boat.draught_m = section.needed_number("draught_m", {0.0, 5.0, "metres", true});
    if (const auto squat = section.number("squat_m", {0.0, 2.0}))
        boat.squat_m = *squat;
    else
        plan.assumptions.push_back(fmt::format("hump squat {:.1f} m", boat.squat_m));
    const auto speed = section.speed("speed", fastest_boat_kn);
    if (!speed)
        section.refuse("speed", "required key is missing", speed_examples);
    boat.speed_mps = speed->mps;
    boat.air_draught_m = section.number("air_draught_m", {0.0, 100.0, "metres", true});
    if (const auto margin = section.number("overhead_margin_m", {0.0, 20.0}))
        boat.overhead_margin_m = *margin;
    else if (boat.air_draught_m) // without it nothing overhead is measured
        plan.assumptions.push_back(fmt::format("overhead margin {:.1f} m", boat.overhead_margin_m));
}

bool read_sheltered(const Section& section) {
    const auto exposure = section.text("exposure");
    if (exposure && *exposure != "open" && *exposure != "sheltered")
        section.refuse("exposure", "unknown exposure " + in_quotes(*exposure), "\"open\" or \"sheltered\"");
    return exposure == "sheltered";
}

void read_water(const Section& section, Plan& plan) {
    passage::Margins& margins = plan.margins;
    plan.sheltered = read_sheltered(section);
    if (const auto margin = section.number("under_keel_m", {0.0, 20.0})) {
        margins.under_keel_m = *margin;
    } else {
        margins.under_keel_m = plan.sheltered ? under_keel_sheltered_m : under_keel_open_m;
        plan.assumptions.push_back(fmt::format("under-keel margin {:.1f} m ({} water)", margins.under_keel_m,
                                               plan.sheltered ? "sheltered" : "open"));
    }
    if (const auto height = section.number("wave_height_m", {0.0, 20.0})) {
        margins.waves_given = true;
        margins.wave_allowance_m = wave_allowance_per_height * *height;
        plan.assumptions.push_back(fmt::format("wave allowance {} m: {:.1f} × the wave height given",
                                               margins.wave_allowance_m, wave_allowance_per_height));
    } else {
        plan.assumptions.push_back(
            fmt::format("wave allowance {:.1f} m: no waves given", margins.wave_allowance_m));
    }
    plan.wind = section.wind("wind", strongest_wind_kn);
    if (plan.wind)
        plan.sea.wind_mps = plan.wind->mps;
    plan.sea.swell_m = section.number("swell_m", {0.0, 30.0});
    if (const auto rate = section.number("rate_max_kn", {0.0, 30.0, "knots"}))
        plan.sea.rate_mps = *rate * mps_per_knot;
    if (const auto reach = section.number("stream_reach_nm", {0.0, 50.0, "nautical miles", true}))
        plan.stream_reach_m = *reach * metres_per_nautical_mile;
    plan.weather = read_weather(section);
}

void read_doubts(const Section& section, Plan& plan) {
    passage::Doubts& doubts = plan.doubts;
    if (const auto height = section.number("tide_height_m", {0.0, 10.0}))
        doubts.tide_height_m = *height;
    else
        plan.assumptions.push_back(fmt::format("tide height doubt {:.1f} m", doubts.tide_height_m));
    const Range minutes{0.0, 720.0, "minutes"};
    if (const auto time = section.number("tide_time_min", minutes))
        doubts.tide_time_s = *time * 60.0;
    else
        plan.assumptions.push_back(fmt::format("tide time doubt {:.0f} min", doubts.tide_time_s / 60.0));
    if (const auto margin = section.number("time_margin_min", minutes))
        doubts.time_margin_s = *margin * 60.0;
    else
        plan.assumptions.push_back(fmt::format("boat's clock ±{:.0f} min", doubts.time_margin_s / 60.0));
    for (std::string& sentence : tide_assumptions(plan.tides))
        plan.assumptions.push_back(std::move(sentence));
}

RouteEntry read_route(const Section& section, const TimeZone& zone) {
    RouteEntry route;
    route.line = section.line();
    route.name = section.text("name").value_or("");
    route.file = section.needed_path("file");
    route.pick = section.text("pick").value_or("");
    route.depart = section.local_time("depart", zone);
    auto widths = section.numbers("half_width", {files::min_half_width_m, files::max_half_width_m});
    if (widths.size() == 1)
        route.half_width_m = widths.front();
    else
        route.leg_half_widths_m = std::move(widths);
    if (const auto speed = section.speed("speed", fastest_boat_kn))
        route.speed_mps = speed->mps;
    const Range shore{0.0, 2000.0};
    route.shore_start_m = section.number("shore_start_m", shore);
    route.shore_end_m = section.number("shore_end_m", shore);
    read_timetable(section, fastest_boat_kn, route);
    return route;
}

void read_routes(const Section& head, Plan& plan) {
    for (const Section& section : head.tables("route"))
        plan.routes.push_back(read_route(section, plan.zone));
    const auto any = [&plan](const auto& lacks) {
        return std::any_of(plan.routes.begin(), plan.routes.end(), lacks);
    };
    if (any([](const RouteEntry& r) { return !r.half_width_m && r.leg_half_widths_m.empty(); }))
        plan.assumptions.push_back(fmt::format("corridor half-width {:.0f} m where no other is given",
                                               passage::default_half_width_m));
    if (any([](const RouteEntry& r) { return !r.shore_start_m || !r.shore_end_m; }))
        plan.assumptions.push_back(fmt::format("shore stretch at most {:.0f} m where no other is given",
                                               passage::default_shore_stretch_m));
}

} // namespace

Plan read(const fs::path& file) {
    const TomlValue document = parse_toml(file.string(), content_of(file));
    refuse_unknown_keys(file, document);
    const Section head(file, document, "");
    const TomlValue nothing;
    const auto table_or_defaults = [&](const std::string& key) {
        return head.table(key).value_or(Section(file, nothing, key));
    };
    Plan plan;
    plan.file = file;
    read_head(head, plan);
    const Section boat = head.needed_table("boat");
    read_boat(boat, plan);
    plan.gear = read_gear(boat);
    read_water(table_or_defaults("water"), plan);
    plan.tides = read_tides(head);
    plan.streams = read_streams(head, plan.tides);
    read_doubts(table_or_defaults("doubt"), plan);
    read_routes(head, plan);
    plan.marks = read_marks(head, plan.zone);
    plan.drift = read_drift(head, plan.drift_assumptions);
    plan.second_means = read_second_means(head);
    plan.helpers = read_helpers(head, plan.drift_assumptions);
    plan.newer = read_newer(head);
    plan.tried = read_tried(head);
    plan.moving = read_moving(head);
    plan.trust = read_survey(head, plan.moving, plan.assumptions);
    plan.season = read_season(head, plan.season_assumptions);
    for (std::string& sentence : stream_assumptions(plan))
        plan.assumptions.push_back(std::move(sentence));
    plan.newer_assumptions = newer_assumptions(plan);
    plan.assumptions.insert(plan.assumptions.end(), plan.newer_assumptions.begin(),
                            plan.newer_assumptions.end());
    return plan;
}

} // namespace dangerline::plan
