#include "plan/keys.hpp"

#include "plan/section.hpp"

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <fmt/ranges.h>
#include <map>

namespace dangerline::plan {

namespace {

/// Keys by table, in the order in which they are named in messages. "" is the plan itself.
const std::map<std::string, std::vector<std::string>>& known_keys() {
    static const std::map<std::string, std::vector<std::string>> keys{
        {"", {"title",  "zone",   "as_of", "depart", "charts", "source", "boat",  "water",
              "tide",   "stream", "doubt", "zones",  "route",  "mark",   "drift", "second",
              "helper", "season", "newer", "tried",  "survey", "moving"}},
        {"source", {"file", "scale", "sounding_datum", "vertical_datum", "role"}},
        {"boat",
         {"name", "draught_m", "squat_m", "speed", "air_draught_m", "overhead_margin_m", "length_m",
          "bow_height_m", "anchor"}},
        {"boat.anchor", {"pattern", "weight_kg", "rope_m", "chain_m", "chain_mm"}},
        {"water",
         {"exposure", "under_keel_m", "wave_height_m", "wind", "swell_m", "rate_max_kn", "stream_reach_nm",
          "pressure_hpa", "mean_pressure_hpa", "surge_m"}},
        {"tide",
         {"name", "kind", "position", "zone", "constants", "mean_level_m", "height_m", "table", "curve",
          "times", "gap_h", "of", "differences", "spring_range_m", "neap_range_m", "weather", "datum",
          "link"}},
        {"stream",
         {"name", "kind", "position", "table", "of", "hours_from", "spring_range_m", "neap_range_m",
          "constants", "forecast"}},
        {"tide.link", {"code", "below_m", "above_m"}},
        {"doubt", {"tide_height_m", "tide_time_min", "time_margin_min"}},
        {"zones", {"within_m"}},
        {"route",
         {"name", "file", "pick", "depart", "half_width", "speed", "leg_speeds_kn", "back", "recovery_min",
          "wait", "shore_start_m", "shore_end_m"}},
        {"drift",
         {"boat", "leeway_percent", "leeway_offset_kn", "divergence_deg", "hours", "particles", "seed",
          "within_nm", "wind_series", "wind_forecast", "wind_height_m", "stream", "table_kn", "errors"}},
        {"drift.errors",
         {"stream_percent", "stream_turn_deg", "wind_percent", "wind_turn_deg", "clock_min", "leeway_percent",
          "divergence_percent", "eddies_m2ps"}},
        {"second", {"kind", "speed", "minutes", "leeway_left_percent"}},
        {"helper", {"name", "position", "speed", "alarm_min", "muster_min"}},
        {"mark", {"name", "position", "at", "stay_h"}},
        {"newer",
         {"file", "name", "classes", "class_from", "attributes", "leave_out", "covers", "dated", "scale",
          "position_m", "sounding_datum", "vertical_datum", "moved_within_m", "radius_m"}},
        {"tried", {"file", "pick", "by", "date", "draught_m", "sounder", "transducer_m", "tide_m"}},
        {"route.wait", {"place", "minutes", "until"}},
        {"season",
         {"from", "to", "days", "daylight", "not_before", "home_by", "longest_h", "launch", "recovery",
          "early_min", "late_min", "slower_percent", "shortest_min"}},
        {"survey",
         {"b_since_year", "bar_depth_m", "mouth_depth_m", "undated_years", "soft", "sand_waves", "bank",
          "river_mouth", "channel", "bar"}},
        {"survey.soft", {"m_per_year", "years"}},
        {"survey.sand_waves", {"m_per_year", "years"}},
        {"survey.bank", {"m_per_year", "years"}},
        {"survey.river_mouth", {"m_per_year", "years"}},
        {"survey.channel", {"m_per_year", "years"}},
        {"survey.bar", {"m_per_year", "years"}},
        {"moving", {"name", "kind", "area", "m_per_year", "years", "surveyed"}},
        {"season.launch", {"at_least_m", "at_most_m"}},
        {"season.recovery", {"at_least_m", "at_most_m"}}};
    return keys;
}

struct UnitEnding {
    const char* ending;
    const char* example;
};
constexpr std::array<UnitEnding, 8> unit_endings{{{"_m", "0.5"},
                                                  {"_kn", "2.5"},
                                                  {"_min", "15"},
                                                  {"_hpa", "1013"},
                                                  {"_h", "9"},
                                                  {"_nm", "3"},
                                                  {"_kg", "10"},
                                                  {"_mm", "8"}}};

/// "rate_max" is "rate_max_kn" without its unit.
std::optional<std::string> example_with_unit(const std::string& key, const std::vector<std::string>& known) {
    for (const auto& [ending, example] : unit_endings)
        if (std::find(known.begin(), known.end(), key + ending) != known.end())
            return key + ending + " = " + example;
    return std::nullopt;
}

std::string tables_with(const std::string& key) {
    std::vector<std::string> tables;
    for (const auto& [table, keys] : known_keys())
        if (std::find(keys.begin(), keys.end(), key) != keys.end()) {
            const bool several = table == "route" || table == "source" || table == "tide" ||
                                 table == "tide.link" || table == "stream" || table == "route.wait" ||
                                 table == "mark" || table == "second" || table == "helper" ||
                                 table == "newer" || table == "tried" || table == "moving";
            tables.push_back(table.empty() ? "the head of the plan, before any table"
                                           : (several ? "[[" + table + "]]" : "[" + table + "]"));
        }
    return fmt::format("{}", fmt::join(tables, " or "));
}

[[noreturn]] void refuse_unknown(const Section& section, const std::string& key,
                                 const std::vector<std::string>& known) {
    const std::string expected = fmt::format("one of {}", fmt::join(known, ", "));
    if (const auto example = example_with_unit(key, known))
        section.refuse(
            key, "unknown key, the unit is missing from its name; did you mean " + nearest(key, known) + "?",
            expected, "for example " + *example);
    if (const std::string tables = tables_with(key); !tables.empty())
        section.refuse(key, "unknown key in this table; it belongs into " + tables, expected);
    section.refuse(key, "unknown key; did you mean " + nearest(key, known) + "?", expected);
}

void check_table(const std::filesystem::path& file, const TomlValue& table, const std::string& path,
                 const std::string& name) {
    const Section section(file, table, name);
    const std::vector<std::string>& known = known_keys().at(path);
    for (const auto& [key, value] : table.members) {
        if (std::find(known.begin(), known.end(), key) == known.end())
            refuse_unknown(section, key, known);
        const std::string below = path.empty() ? key : path + "." + key;
        if (!known_keys().contains(below))
            continue;
        if (value.kind == TomlValue::Kind::table)
            check_table(file, value, below, below);
        std::size_t number = 0;
        for (const TomlValue& item : value.items)
            if (++number; item.kind == TomlValue::Kind::table)
                check_table(file, item, below,
                            fmt::format("{}[{}]", name.empty() ? key : name + "." + key, number));
    }
}

} // namespace

void refuse_unknown_keys(const std::filesystem::path& file, const TomlValue& document) {
    check_table(file, document, "", "");
}

} // namespace dangerline::plan
