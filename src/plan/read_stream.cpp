#include "plan/read_stream.hpp"

#include <algorithm>

#include "dangerline/passage/voyage.hpp"
#include "dangerline/sea/map.hpp"
#include "dangerline/sea/panel.hpp"
#include "plan/read_tide.hpp"

#include <fmt/format.h>

namespace dangerline::plan {

namespace {

using Kind = StreamSource::Kind;
constexpr Range range_m{0.0, 20.0, "metres", true};

Kind read_kind(const Section& section) {
    const char* expected = "\"table\", \"harmonic\" or \"grid\"";
    const std::string word = section.needed_text("kind", expected);
    for (const Kind kind : {Kind::table, Kind::harmonic, Kind::grid})
        if (word == to_text(kind))
            return kind;
    section.refuse("kind", "unknown kind of stream " + in_quotes(word), expected);
}

void refuse_foreign(const Section& section, Kind kind, std::initializer_list<const char*> own) {
    for (const char* key :
         {"table", "constants", "forecast", "of", "hours_from", "spring_range_m", "neap_range_m", "position"})
        if (section.has(key) &&
            std::none_of(own.begin(), own.end(), [&](const char* o) { return std::string(o) == key; }))
            section.refuse(key, fmt::format("has no meaning in a stream of kind \"{}\"", to_text(kind)), "",
                           "leave it out, or change the kind");
}

void read_table(const Section& section, const std::vector<TideSource>& tides, StreamSource& out) {
    refuse_foreign(section, out.kind,
                   {"table", "of", "hours_from", "spring_range_m", "neap_range_m", "position"});
    out.file = section.needed_path("table");
    out.of = section.needed_text("of", "the name of the tide its hours refer to");
    const bool known =
        std::any_of(tides.begin(), tides.end(), [&](const TideSource& t) { return t.name == out.of; });
    if (!known)
        section.refuse("of", "no tide of this plan is named " + in_quotes(out.of), "the name of a [[tide]]");
    const auto from = section.text("hours_from").value_or("HW");
    if (from != "HW" && from != "LW")
        section.refuse("hours_from", in_quotes(from) + " is neither", "\"HW\" or \"LW\"");
    out.from_low_water = from == "LW";
    out.spring_range_m = section.number("spring_range_m", range_m);
    out.neap_range_m = section.number("neap_range_m", range_m);
    if (out.spring_range_m && out.neap_range_m && *out.neap_range_m >= *out.spring_range_m)
        section.refuse("neap_range_m", "is not less than at springs", "the smaller of the two ranges");
}

RouteWait read_wait(const Section& section) {
    RouteWait wait;
    wait.line = section.line();
    const char* expected = "the number or the name of a place of the route";
    if (const auto* place = section.find("place"); place && place->is_number()) {
        wait.number = static_cast<std::size_t>(section.whole_number("place", 2, 10'000).value());
    } else {
        wait.name = section.needed_text("place", expected);
    }
    wait.seconds = section.number("minutes", {0.0, 2880.0, "minutes"}).value_or(0.0) * 60.0;
    wait.until = section.text("until");
    if (wait.until) {
        const std::string& text = *wait.until;
        const bool form =
            text.size() == 5 && text[2] == ':' && text.find_first_not_of("0123456789:") == std::string::npos;
        if (!form || text.substr(0, 2) > "23" || text.substr(3) > "59")
            section.refuse("until", in_quotes(text) + " is no clock time", "local time like \"11:30\"");
    }
    if (!wait.until && wait.seconds == 0.0)
        section.refuse("minutes", "a wait says neither minutes nor until",
                       "minutes = 90 or until = \"11:30\"");
    return wait;
}

} // namespace

const char* to_text(StreamSource::Kind kind) {
    return kind == Kind::table ? "table" : kind == Kind::harmonic ? "harmonic" : "grid";
}

std::vector<StreamSource> read_streams(const Section& head, const std::vector<TideSource>& tides) {
    std::vector<StreamSource> streams;
    for (const Section& section : head.tables("stream")) {
        StreamSource out;
        out.line = section.line();
        out.kind = read_kind(section);
        if (out.kind == Kind::grid) {
            refuse_foreign(section, out.kind, {"forecast"});
            out.file = section.needed_path("forecast");
        } else {
            if (out.kind == Kind::table) {
                read_table(section, tides, out);
            } else {
                refuse_foreign(section, out.kind, {"constants", "position"});
                out.file = section.needed_path("constants");
            }
            const TomlValue* position = section.find("position");
            if (!position)
                section.refuse("position", "required key is missing", "longitude, then latitude, in degrees");
            out.position = read_position(section, "position", *position);
        }
        out.name = section.text("name").value_or(out.file.stem().string());
        streams.push_back(std::move(out));
    }
    return streams;
}

void read_timetable(const Section& section, double fastest_kn, RouteEntry& route) {
    route.back = section.flag("back").value_or(false);
    route.recovery_s = section.number("recovery_min", {0.0, 600.0, "minutes"}).value_or(0.0) * 60.0;
    route.leg_speeds_mps = section.numbers("leg_speeds_kn", {0.0, fastest_kn, "knots", true});
    for (double& speed : route.leg_speeds_mps)
        speed *= mps_per_knot;
    if (!route.leg_speeds_mps.empty() && route.speed_mps)
        section.refuse("leg_speeds_kn", "speed is given as well", "one of the two");
    for (const Section& wait : section.tables("wait"))
        route.waits.push_back(read_wait(wait));
}

std::vector<std::string> stream_assumptions(const Plan& plan) {
    if (plan.streams.empty())
        return {};
    return {
        fmt::format("streams hold within {:.1f} NM of their station",
                    plan.stream_reach_m / metres_per_nautical_mile),
        fmt::format("stations whose sets are {:.0f}° or more apart are not averaged", sea::opposite_sets_deg),
        fmt::format("stream taken every {:.1f} NM and {:.0f} min",
                    passage::stream_piece_m / metres_per_nautical_mile, passage::stream_node_s / 60.0),
        fmt::format("streams no less than {:.0f} % of springs where neaps are not given",
                    100.0 * sea::least_share_of_springs),
        fmt::format("a leg is held while the stream across takes up at most {:.0f} % of the boat's speed",
                    100.0 * passage::most_crabbing)};
}

} // namespace dangerline::plan
