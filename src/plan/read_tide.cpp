#include "plan/read_tide.hpp"

#include <algorithm>
#include <array>
#include <stdexcept>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "dangerline/tide/high_low.hpp"
#include "dangerline/tide/series.hpp"
#include "dangerline/tide/stations.hpp"

namespace dangerline::plan {

namespace {

using Kind = TideSource::Kind;

constexpr int last_datum_code = 30;
constexpr Range vertical_m{-30.0, 30.0};
constexpr Range gap_h{0.0, 72.0, "hours", true};

struct KindKeys {
    Kind kind;
    std::vector<std::string> keys; ///< besides those that every tide has
};

const std::vector<KindKeys>& kinds() {
    static const std::vector<KindKeys> all{{Kind::harmonic, {"constants", "mean_level_m"}},
                                           {Kind::fixed, {"height_m"}},
                                           {Kind::table, {"table", "times", "gap_h"}},
                                           {Kind::secondary, {"of", "differences"}},
                                           {Kind::curve, {"curve", "times", "gap_h"}}};
    return all;
}

Kind read_kind(const Section& section) {
    std::vector<std::string> names;
    for (const auto& [kind, keys] : kinds())
        names.push_back(in_quotes(to_text(kind)));
    const std::string expected = fmt::format("one of {}", fmt::join(names, ", "));
    const std::string word = section.needed_text("kind", expected);
    for (const auto& [kind, keys] : kinds())
        if (word == to_text(kind))
            return kind;
    section.refuse("kind", "unknown kind of tide " + in_quotes(word), expected);
}

/// A key of another kind of tide would be read by nobody.
void refuse_foreign_keys(const Section& section, Kind own) {
    const auto& its =
        std::find_if(kinds().begin(), kinds().end(), [&](const auto& k) { return k.kind == own; })->keys;
    for (const auto& [kind, keys] : kinds())
        for (const std::string& key : keys)
            if (section.has(key) && std::find(its.begin(), its.end(), key) == its.end())
                section.refuse(key, fmt::format("has no meaning in a tide of kind \"{}\"", to_text(own)), "",
                               "leave it out, or change the kind");
}

/// Corners, or the file that has them.
void read_zone(const Section& section, TideSource& tide) {
    const TomlValue* value = section.find("zone");
    if (value == nullptr)
        return;
    if (value->kind == TomlValue::Kind::text) {
        tide.zone_file = section.needed_path("zone");
        return;
    }
    auto& ring = tide.zone;
    const char* expected =
        "a list of three positions or more, longitude first, or the path of a GeoJSON file with a polygon";
    if (value->kind != TomlValue::Kind::list)
        section.refuse("zone", "wrong type: " + describe(*value), expected);
    for (const TomlValue& corner : value->items)
        ring.push_back(read_position(section, "zone", corner));
    if (ring.size() > 1 && ring.front() == ring.back())
        ring.pop_back();
    if (ring.size() < 3)
        section.refuse("zone", fmt::format("{} corners bound nothing", ring.size()), expected);
}

std::optional<TimeZone> read_times(const Section& section) {
    const auto name = section.text("times");
    if (!name)
        return std::nullopt;
    try {
        return TimeZone(*name);
    } catch (const std::invalid_argument&) {
        section.refuse("times", "no time zone named " + in_quotes(*name),
                       "the zone of the table's clock times, like \"Europe/London\"");
    }
}

void read_link(const Section& link, tide::DatumChain& datums) {
    const auto code = link.whole_number("code", 1, last_datum_code);
    if (!code)
        link.refuse("code", "required key is missing",
                    fmt::format("an S-57 VERDAT code from 1 to {}", last_datum_code));
    const Range distance{0.0, vertical_m.high};
    const auto below = link.number("below_m", distance);
    const auto above = link.number("above_m", distance);
    if (below.has_value() == above.has_value())
        link.refuse(below ? "above_m" : "below_m",
                    below ? "below_m and above_m are both given" : "neither below_m nor above_m is given",
                    "exactly one of them");
    const double metres_below = below ? *below : 0.0 - *above;
    // A local datum (24) is no particular level, two of them may differ.
    constexpr int local_datum = 24;
    if (code == datums.source_code && *code != local_datum && metres_below != 0.0)
        link.refuse("code",
                    "datum " + tide::datum_text(*code) + " is the tide's own and can't lie apart from itself",
                    "another datum than tide.datum");
    if (!datums.metres_below_source.emplace(*code, metres_below).second)
        link.refuse("code", "datum " + tide::datum_text(*code) + " is linked twice", "each datum once");
}

void read_content(const Section& section, TideSource& tide) {
    switch (tide.kind) {
    case Kind::fixed:
        tide.height_m = section.needed_number("height_m", vertical_m);
        break;
    case Kind::harmonic:
        tide.constants = section.needed_path("constants");
        tide.mean_level_m = section.needed_number("mean_level_m", vertical_m);
        break;
    case Kind::secondary:
        tide.of = section.needed_text("of", "the name of another tide of this plan");
        tide.file = section.needed_path("differences");
        break;
    case Kind::table:
    case Kind::curve:
        tide.file = section.needed_path(to_text(tide.kind));
        tide.times = read_times(section);
        if (const auto gap = section.number("gap_h", gap_h))
            tide.longest_gap_s = *gap * 3600.0;
        break;
    case Kind::none:
        break;
    }
}

TideSource read_tide(const Section& section) {
    TideSource tide;
    tide.line = section.line();
    tide.kind = read_kind(section);
    refuse_foreign_keys(section, tide.kind);
    tide.name = section.text("name").value_or("");
    if (const TomlValue* position = section.find("position"))
        tide.position = read_position(section, "position", *position);
    read_zone(section, tide);
    read_content(section, tide);
    const auto weather = section.text("weather");
    if (weather && *weather != "included" && *weather != "added")
        section.refuse("weather", "unknown word " + in_quotes(*weather),
                       "\"included\" where the heights hold pressure and surge already, else \"added\"");
    tide.weather_included = weather == "included";
    tide.spring_range_m = section.number("spring_range_m", {0.0, 20.0, "metres", true});
    tide.neap_range_m = section.number("neap_range_m", {0.0, 20.0, "metres", true});
    if (tide.spring_range_m && tide.neap_range_m && *tide.neap_range_m >= *tide.spring_range_m)
        section.refuse("neap_range_m", "is not less than at springs", "the smaller of the two ranges");
    tide.datums.source_code = section.whole_number("datum", 1, last_datum_code);
    for (const Section& link : section.tables("link"))
        read_link(link, tide.datums);
    return tide;
}

void check_names(const std::vector<Section>& sections, const std::vector<TideSource>& tides) {
    for (std::size_t i = 0; i < tides.size(); ++i) {
        if (tides.size() > 1 && tides[i].name.empty())
            sections[i].refuse("name", "required key is missing", "a name, since there are several tides");
        for (std::size_t k = 0; k < i; ++k)
            if (tides[k].name == tides[i].name)
                sections[i].refuse("name", "two tides are named " + in_quotes(tides[i].name),
                                   "each name once");
    }
}

void check_standard_port(const Section& section, const TideSource& tide,
                         const std::vector<TideSource>& tides) {
    const auto port =
        std::find_if(tides.begin(), tides.end(), [&](const TideSource& t) { return t.name == tide.of; });
    const bool missing = port == tides.end() || tide.of.empty();
    if (missing || port->kind == Kind::fixed || port->kind == Kind::secondary)
        section.refuse(
            "of",
            missing ? "no tide of this plan is named " + in_quotes(tide.of)
                    : fmt::format("{} is a tide of kind \"{}\"", in_quotes(tide.of), to_text(port->kind)),
            "the name of a tide with high and low waters: harmonic, table or curve");
}

void check_place(const Section& section, const TideSource& tide, const std::vector<TideSource>& tides) {
    if (tide.position)
        return;
    const bool serves = std::any_of(tides.begin(), tides.end(), [&](const TideSource& t) {
        return t.kind == Kind::secondary && t.of == tide.name;
    });
    if (serves && !tide.has_zone())
        return;
    if (tide.kind != Kind::fixed || tides.size() > 1)
        section.refuse("position", "required key is missing",
                       "longitude, then latitude of the station, like [-27.93, 46.08]");
}

} // namespace

geo::Position read_position(const Section& section, const std::string& key, const TomlValue& value) {
    const char* expected = "longitude, then latitude, in degrees, like [-27.93, 46.08]";
    if (value.kind != TomlValue::Kind::list || value.items.size() != 2 || !value.items[0].is_number() ||
        !value.items[1].is_number())
        section.refuse(key, describe(value) + " is no position", expected);
    const geo::Position position{value.items[0].number, value.items[1].number};
    if (!(position.lat_deg >= -90.0 && position.lat_deg <= 90.0) ||
        !(position.lon_deg >= -360.0 && position.lon_deg <= 360.0)) {
        const bool swapped = position.lon_deg >= -90.0 && position.lon_deg <= 90.0 &&
                             position.lat_deg >= -360.0 && position.lat_deg <= 360.0;
        section.refuse(key, fmt::format("{}, {} is out of range", position.lon_deg, position.lat_deg),
                       expected, swapped ? "longitude and latitude look swapped" : "");
    }
    return position;
}

const char* to_text(TideSource::Kind kind) {
    switch (kind) {
    case Kind::fixed:
        return "fixed";
    case Kind::harmonic:
        return "harmonic";
    case Kind::table:
        return "table";
    case Kind::secondary:
        return "secondary";
    case Kind::curve:
        return "curve";
    case Kind::none:
        break;
    }
    return "none";
}

std::vector<TideSource> read_tides(const Section& head) {
    const auto sections = head.tables("tide");
    if (sections.empty())
        head.refuse("tide", "required table is missing", "a table [[tide]]");
    std::vector<TideSource> tides;
    for (const Section& section : sections)
        tides.push_back(read_tide(section));
    check_names(sections, tides);
    for (std::size_t i = 0; i < tides.size(); ++i) {
        if (tides[i].kind == Kind::secondary)
            check_standard_port(sections[i], tides[i], tides);
        check_place(sections[i], tides[i], tides);
    }
    if (std::all_of(tides.begin(), tides.end(), [](const TideSource& t) { return t.standard_port_only(); }))
        sections.front().refuse("position", "every tide is a standard port only",
                                "a position of one of them");
    return tides;
}

tide::Weather read_weather(const Section& water) {
    tide::Weather weather;
    weather.pressure_hpa = water.number("pressure_hpa", {850.0, 1100.0, "hectopascals"});
    weather.mean_pressure_hpa = water.number("mean_pressure_hpa", {980.0, 1040.0, "hectopascals"});
    if (weather.pressure_hpa.has_value() != weather.mean_pressure_hpa.has_value())
        water.refuse(weather.pressure_hpa ? "mean_pressure_hpa" : "pressure_hpa", "required key is missing",
                     "both the pressure and the mean it is compared with, or neither");
    weather.surge_m = water.number("surge_m", {-5.0, 10.0}).value_or(0.0);
    return weather;
}

std::vector<std::string> tide_assumptions(const std::vector<TideSource>& tides) {
    std::vector<std::string> out;
    const auto any = [&](const auto& is) { return std::any_of(tides.begin(), tides.end(), is); };
    if (any([](const TideSource& t) { return t.position.has_value(); }))
        out.push_back(fmt::format("tide doubt at least {:.1f} m and {:.0f} min beyond 10 NM from the station",
                                  tide::far_height_doubt_m, tide::far_time_doubt_s / 60.0));
    if (any([](const TideSource& t) { return t.kind == Kind::secondary; }))
        out.push_back(fmt::format("tide time doubt at least {:.0f} min at a secondary port",
                                  tide::secondary_time_doubt_s / 60.0));
    if (any([](const TideSource& t) { return t.kind == Kind::table && !t.longest_gap_s; }))
        out.push_back(fmt::format("a tide is missing where neighbours in a table are over {:.0f} h apart "
                                  "({:.0f} h where tides are diurnal)",
                                  tide::longest_semidiurnal_s / 3600.0, tide::longest_diurnal_s / 3600.0));
    if (any([](const TideSource& t) { return t.kind == Kind::curve && !t.longest_gap_s; }))
        out.push_back(fmt::format("a tide curve is unknown between points over {:.0f} min apart",
                                  tide::longest_step_s / 60.0));
    if (any([](const TideSource& t) { return t.kind == Kind::table || t.kind == Kind::secondary; }))
        out.push_back(fmt::format("half-cosine is doubted where rise and fall differ by over {:.1f} h",
                                  tide::rise_and_fall_differ_s / 3600.0));
    return out;
}

} // namespace dangerline::plan
