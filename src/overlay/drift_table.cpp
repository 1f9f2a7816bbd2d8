#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "dangerline/overlay/drift.hpp"
#include "overlay/drift_head.hpp"
#include "overlay/geometry.hpp"

namespace dangerline::overlay {

namespace {

std::string csv_cell(const std::string& words) {
    if (words.find_first_of(",\"\r\n") == std::string::npos)
        return words;
    std::string out = "\"";
    for (const char c : words)
        out += c == '"' ? std::string("\"\"") : std::string(1, c);
    return out + "\"";
}

std::string csv_minutes(double seconds) {
    return std::isfinite(seconds) ? fmt::format("{:.1f}", std::floor(seconds / 6.0) / 10.0) : std::string();
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

Members combination(const jobs::DriftRow& row, const std::string& mark, const char* role) {
    return {{"role", Value::text(role)},
            {"mark", Value::text(mark)},
            {"tide", Value::text(row.springs ? "springs" : "neaps")},
            {"hours_after_high_water", Value::whole(row.tide_hour)},
            {"wind_from_deg", Value::number(row.wind_from_deg, 1)},
            {"wind_kn", Value::number(row.wind_mps / mps_per_knot, 1)},
            {"boat", Value::text(row.boat)},
            {"minutes_in_hand", minutes_value(row.early_s)},
            {"minutes_median", minutes_value(row.median_s)},
            {"danger_share", share_value(row.danger_share)},
            {"unknown_share", share_value(row.unknown_share)}};
}

} // namespace

std::string drift_table_csv(const jobs::DriftTableReport& report) {
    std::string out =
        "mark,tide,hours_after_high_water,begin_local,begin_utc,wind_from_deg,wind_kn,boat,"
        "minutes_in_hand,minutes_median,danger_percent,unknown_percent,afloat_percent,danger,not_known\r\n";
    for (const auto& row : report.rows)
        out += fmt::format("{},{},{},{},{},{:.1f},{:.1f},{},{},{},{:.1f},{:.1f},{:.1f},{},{}\r\n",
                           csv_cell(report.base.marks.at(row.mark).name), row.springs ? "springs" : "neaps",
                           row.tide_hour, report.base.plan.zone.to_iso(row.begin), to_iso_utc(row.begin),
                           row.wind_from_deg, row.wind_mps / mps_per_knot, csv_cell(row.boat),
                           csv_minutes(row.early_s), csv_minutes(row.median_s), 100.0 * row.danger_share,
                           100.0 * row.unknown_share, 100.0 * row.afloat_share,
                           row.hazard ? csv_cell(report.base.hazards.at(*row.hazard).label) : "",
                           csv_cell(row.why));
    return out;
}

std::string drift_table_geojson(const jobs::DriftTableReport& report, const std::string& program_version) {
    std::vector<Feature> features;
    std::size_t none = 0, not_known = 0;
    for (const auto* row : worst_hours(report)) {
        const bool met = row->hazard && row->place;
        if (!met && !std::isfinite(row->early_s)) {
            ++none;
            continue;
        }
        const auto& mark = report.base.marks.at(row->mark);
        Members p = combination(*row, mark.name, met ? "drift" : "not_known");
        if (!met) {
            ++not_known;
            p.push_back({"not_known", Value::text(row->why)});
            features.push_back({rounded_place(mark.position), std::move(p)});
            continue;
        }
        add_danger(p, report.base.hazards.at(*row->hazard), row->moved_m);
        if (!row->why.empty())
            p.push_back({"not_known", Value::text(row->why)});
        features.push_back(
            {cut_line({mark.position, report.base.plane.to_position(*row->place)}), std::move(p)});
    }
    List days;
    for (const auto& day : report.days)
        days.push_back(Value::object({{"mark", Value::text(report.base.marks.at(day.mark).name)},
                                      {"tide", Value::text(day.springs ? "springs" : "neaps")},
                                      {"high_water", time_value(day.high_water)},
                                      {"range_m", Value::number(day.range_m, 2)}}));
    const Value counts = Value::object({{"hazards_tested", Value::count(report.base.hazards_tested)},
                                        {"combinations", Value::count(report.rows.size())},
                                        {"without_danger", Value::count(none)},
                                        {"not_known", Value::count(not_known)},
                                        {"boats_a_run", Value::count(report.base.plan.drift.particles)},
                                        {"seed", Value::count(report.base.plan.drift.seed)},
                                        {"days", Value::list(std::move(days))},
                                        {"sentences", Value::texts(report.sentences)}});
    return to_geojson(features, head(drift_facts("drift-table", report.base, program_version, counts)));
}

} // namespace dangerline::overlay
