#include "dangerline/overlay/survey.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "dangerline/base/words.hpp"
#include "dangerline/geo/dissolve.hpp"
#include "dangerline/survey/standards.hpp"
#include "overlay/csv.hpp"
#include "overlay/geometry.hpp"
#include "overlay/head.hpp"

namespace dangerline::overlay {

namespace {

using survey::Flag;
using survey::TrustArea;

constexpr double last_decimal_deg = 1e-7;

std::vector<std::string> names_of(const std::vector<Flag>& flags) {
    std::vector<std::string> names;
    for (const Flag flag : flags)
        names.emplace_back(survey::to_text(flag));
    return names;
}

/// The bounds of an area as lines, one for each run of longitudes its pieces cover: all a bbox needs.
Feature bounds_feature(const Areas& areas) {
    struct Run {
        double west, east, south, north;
    };
    std::vector<Run> runs;
    for (const auto& rings : areas) {
        Run run{1e9, -1e9, 1e9, -1e9};
        for (const auto& p : rings.front())
            run = {std::min(run.west, p.lon_deg), std::max(run.east, p.lon_deg),
                   std::min(run.south, p.lat_deg), std::max(run.north, p.lat_deg)};
        runs.push_back(run);
    }
    std::sort(runs.begin(), runs.end(), [](const Run& a, const Run& b) { return a.west < b.west; });
    std::vector<Run> joined;
    for (const auto& run : runs) {
        if (joined.empty() || run.west > joined.back().east) {
            joined.push_back(run);
            continue;
        }
        auto& last = joined.back();
        last = {last.west, std::max(last.east, run.east), std::min(last.south, run.south),
                std::max(last.north, run.north)};
    }
    Lines lines;
    for (const auto& run : joined)
        lines.push_back({{run.west, run.south}, {run.east, run.north}});
    return {std::move(lines), {}};
}

Areas places_of(const geo::Plane& plane, const std::vector<geo::PolygonRings>& area) {
    Areas places = unproject(plane, area);
    return cut_areas(geo::rounded_valid(places, last_decimal_deg));
}

Value date_value(const std::optional<survey::PartialDate>& date, bool earliest) {
    return Value::text(date ? to_text(earliest ? date->earliest : date->latest) : "");
}

Value technique_value(const survey::Facts& facts) {
    List codes;
    for (int code = 1; code < 32; ++code)
        if (facts.has(code))
            codes.push_back(Value::whole(code));
    return Value::list(std::move(codes));
}

void add_dates(Members& p, const survey::Facts& facts, const survey::Age& age) {
    p.push_back({"surveyed", Value::text(survey::when_words(facts))});
    p.push_back({"begun", date_value(facts.begun, true)});
    p.push_back({"ended", date_value(facts.ended, false)});
    p.push_back({"not_after", date_value(facts.sourced, false)});
    p.push_back({"techniques", technique_value(facts)});
    p.push_back({"date_known", Value::text(survey::to_text(age.how))});
    if (age.years)
        p.push_back({"age_years", Value::number(*age.years, 1)});
    if (age.how != survey::DateKnown::none)
        p.push_back({"at_least_years", Value::number(age.at_least_years, 1)});
}

Members properties_of(const TrustArea& a, const std::string& cell) {
    const bool flagged = !a.flags.empty();
    Members p{{"role", Value::text(flagged ? "flagged" : "unflagged")},
              {"cell", Value::text(cell)},
              {"rule", Value::text(flagged ? survey::to_text(a.flags.front()) : "")},
              {"rules", Value::texts(names_of(a.flags))},
              {"sentence", Value::text(a.sentence)},
              {"square_m", Value::number(a.square_metres, 0)}};
    if (!flagged || a.flags.front() == Flag::unsurveyed)
        return p;
    p.push_back({"catzoc", Value::text(std::string(survey::zone_of_confidence(a.catzoc).name))});
    add_dates(p, a.facts, a.age);
    p.push_back({"position_doubt_m", Value::number(a.position_m, 1)});
    p.push_back({"depth_doubt_m", Value::number(std::max(a.depth.a_m, a.souacc_m), 2)});
    p.push_back({"depth_doubt_share", Value::number(a.depth.b, 2)});
    p.push_back({"at_least", Value::flag(a.at_least)});
    if (a.moving != survey::Moving::no) {
        p.push_back({"moving", Value::text(survey::to_text(a.moving))});
        p.push_back({"moved_m", Value::number(a.moved_m, 1)});
    }
    return p;
}

Members properties_of(const jobs::DatedHazard& h, const std::string& cell) {
    Members p{{"role", Value::text("hazard")},
              {"cell", Value::text(cell)},
              {"class", Value::text(h.cls)},
              {"lnam", Value::text(h.lnam)},
              {"name", Value::text(h.name)},
              {"rule", Value::text(h.flags.empty() ? "" : survey::to_text(h.flags.front()))},
              {"rules", Value::texts(names_of(h.flags))},
              {"sentence", Value::text(h.sentence)},
              {"catzoc", Value::text(std::string(survey::zone_of_confidence(h.catzoc).name))}};
    add_dates(p, h.facts, h.age);
    p.push_back({"position_doubt_m", Value::number(h.allowance.survey_m, 1)});
    p.push_back({"depth_doubt_m", Value::number(std::max(h.allowance.depth.a_m, h.allowance.souacc_m), 2)});
    p.push_back({"depth_doubt_share", Value::number(h.allowance.depth.b, 2)});
    p.push_back({"at_least", Value::flag(h.allowance.at_least)});
    if (h.charted_depth_m)
        p.push_back({"charted_depth_m", Value::number(*h.charted_depth_m, 2)});
    if (h.off_m) {
        p.push_back({"distance_m", Value::number(*h.off_m, 1)});
        p.push_back({"nearest", Value::text(h.off)});
    }
    return p;
}

Members plain_properties(const char* role, const std::string& cell, Flag flag, double square_m) {
    const auto& rule = survey::flag_rules()[static_cast<std::size_t>(flag)];
    const std::string sentence = capitalised(rule.when);
    return {{"role", Value::text(role)},
            {"cell", Value::text(cell)},
            {"rule", Value::text(std::string(rule.name))},
            {"rules", Value::texts({std::string(rule.name)})},
            {"sentence", Value::text(sentence + ".")},
            {"square_m", Value::number(square_m, 0)}};
}

Value rules_value() {
    List rules;
    for (const auto& rule : survey::flag_rules())
        rules.push_back(Value::object({{"rule", Value::text(std::string(rule.name))},
                                       {"when", Value::text(std::string(rule.when))},
                                       {"source", Value::text(std::string(rule.source))}}));
    return Value::list(std::move(rules));
}

Value by_flag_value(const std::map<Flag, double>& by_flag, int decimals) {
    Members out;
    for (const auto& rule : survey::flag_rules()) {
        const auto at = by_flag.find(rule.flag);
        out.push_back(
            {std::string(rule.name), Value::number(at == by_flag.end() ? 0.0 : at->second, decimals)});
    }
    return Value::object(std::move(out));
}

Value route_value(const jobs::SurveyedRoute& route) {
    List over;
    for (const auto& part : route.over)
        over.push_back(Value::object({{"cell", Value::text(part.cell)},
                                      {"rules", Value::texts(names_of(part.flags))},
                                      {"sentence", Value::text(part.sentence)},
                                      {"length_m", Value::number(part.metres, 1)}}));
    return Value::object({{"route", Value::text(route.name)},
                          {"length_m", Value::number(route.length_m, 1)},
                          {"flagged_m", Value::number(route.flagged_m, 1)},
                          {"not_covered_m", Value::number(route.not_covered_m, 1)},
                          {"by_rule_m", by_flag_value(route.by_flag_m, 1)},
                          {"over", Value::list(std::move(over))}});
}

Value counts_of(const jobs::SurveySummary& summary, std::size_t areas) {
    double water = 0.0, flagged = 0.0;
    std::size_t hazards = 0, hazards_flagged = 0, hazards_left_out = 0;
    std::map<Flag, double> by_flag;
    for (const auto& row : summary.rows) {
        water += row.water_m2;
        flagged += row.flagged_m2;
        hazards += row.hazards;
        hazards_flagged += row.hazards_flagged;
        hazards_left_out += row.hazards_left_out;
        for (const auto& [flag, m2] : row.by_flag_m2)
            by_flag[flag] += m2;
    }
    return Value::object({{"cells", Value::count(summary.rows.size())},
                          {"refused", Value::count(summary.refused)},
                          {"areas", Value::count(areas)},
                          {"hazards", Value::count(hazards)},
                          {"hazards_flagged", Value::count(hazards_flagged)},
                          {"hazards_left_out", Value::count(hazards_left_out)},
                          {"water_square_m", Value::number(water, 0)},
                          {"flagged_square_m", Value::number(flagged, 0)},
                          {"by_rule_square_m", by_flag_value(by_flag, 0)}});
}

/// The flag that the largest part of the water has; nothing where none has any.
std::optional<Flag> largest(const jobs::SurveyedRow& row) {
    const auto at = std::max_element(row.by_flag_m2.begin(), row.by_flag_m2.end(),
                                     [](const auto& a, const auto& b) { return a.second < b.second; });
    return at == row.by_flag_m2.end() ? std::nullopt : std::optional(at->first);
}

/// What to do about the survey: it is old or poor, or only nobody knows.
const char* about_survey(const jobs::SurveyedRow& row) {
    const bool old_or_poor =
        std::any_of(row.by_flag_m2.begin(), row.by_flag_m2.end(), [](const auto& flagged) {
            return flagged.first != Flag::undated && flagged.first != Flag::zone_u &&
                   flagged.first != Flag::chart_not_updated;
        });
    return row.survey_m2 <= 0.0 ? ""
           : old_or_poor        ? "sound again or ask for a newer survey"
                                : "ask when and how it was surveyed";
}

/// What to do about the chart: its updates come before anybody sounds what they may hold.
std::string first_step(const jobs::SurveyedRow& row, bool day_known) {
    const std::string survey = about_survey(row);
    const std::string chart = !row.note.stale                     ? ""
                              : day_known && !row.note.days_since ? "see when the chart was last updated"
                                                                  : "get the chart's updates";
    return chart + (chart.empty() || survey.empty() ? "" : "; then ") + survey;
}

} // namespace

struct SurveyWriter::Implementation {
    std::vector<Feature> bounds;
    std::size_t features = 0, areas = 0;

    std::string add(Areas areas, Members properties) {
        if (areas.empty())
            return {};
        bounds.push_back(bounds_feature(areas));
        ++this->areas;
        return geojson_line({std::move(areas), std::move(properties)}, features++ == 0);
    }

    /// What lies on a chart lies mostly within its areas, but a line may reach out of them.
    std::string add(const jobs::DatedHazard& hazard, const geo::Plane& plane, const std::string& cell) {
        std::string text;
        for (auto& geometry : geometries_of(*hazard.shape, plane)) {
            bounds.push_back({geometry, {}});
            text += geojson_line({std::move(geometry), properties_of(hazard, cell)}, features++ == 0);
        }
        return text;
    }
};

SurveyWriter::SurveyWriter() : self_(std::make_unique<Implementation>()) {}
SurveyWriter::~SurveyWriter() = default;

std::string SurveyWriter::begin() {
    return geojson_begin();
}

std::string SurveyWriter::cell(const jobs::SurveyedCell& cell) {
    std::string text;
    for (const auto& area : cell.water.areas)
        text += self_->add(places_of(*cell.plane, area.area), properties_of(area, cell.note.name));
    if (!cell.uncovered.empty())
        text += self_->add(
            places_of(*cell.plane, cell.uncovered),
            plain_properties("uncovered", cell.note.name, Flag::no_coverage, geo::area_of(cell.uncovered)));
    if (cell.not_updated && !cell.coverage.empty())
        text += self_->add(
            places_of(*cell.plane, cell.coverage),
            plain_properties("chart", cell.note.name, Flag::chart_not_updated, geo::area_of(cell.coverage)));
    for (const auto& hazard : cell.hazards)
        text += self_->add(hazard, *cell.plane, cell.note.name);
    return text;
}

std::string SurveyWriter::end(const jobs::SurveySummary& summary, const std::string& program_version) {
    List routes;
    for (const auto& route : summary.routes)
        routes.push_back(route_value(route));
    return geojson_end(self_->bounds,
                       {{"job", Value::text("survey")},
                        {"version", Value::text(program_version)},
                        {"caution", Value::text(caution_text())},
                        {"as_of", summary.as_of ? Value::text(to_text(*summary.as_of)) : Value::null()},
                        {"charts", charts_value(summary.cells, summary.as_of.has_value())},
                        {"assumptions", Value::texts(summary.assumptions)},
                        {"rules", rules_value()},
                        {"routes", Value::list(std::move(routes))},
                        {"counts", counts_of(summary, self_->areas)},
                        {"diagnostics", diagnostics_value(summary.diagnostics)}});
}

std::string survey_csv(const jobs::SurveySummary& summary) {
    std::string text = "rank,cell,edition,update,issued,days_since_update,scale,water_square_km,"
                       "flagged_square_km,by_survey_square_km,flagged_percent,oldest_survey,largest_rule,"
                       "largest_rule_square_km,"
                       "first_step\r\n";
    std::size_t rank = 0;
    for (const auto& row : summary.rows) {
        const auto rule = largest(row);
        text +=
            fmt::format("{},{},{},{},{},{},{},{:.2f},{:.2f},{:.2f},{:.1f},{},{},{:.2f},{}\r\n", ++rank,
                        csv_cell(row.note.name), row.note.edition, row.note.update, csv_cell(row.note.issued),
                        row.note.days_since ? std::to_string(*row.note.days_since) : "", row.note.scale,
                        row.water_m2 / 1e6, row.flagged_m2 / 1e6, row.survey_m2 / 1e6, row.share() * 100.0,
                        row.oldest_year ? std::to_string(*row.oldest_year) : "",
                        rule ? survey::to_text(*rule) : "", rule ? row.by_flag_m2.at(*rule) / 1e6 : 0.0,
                        csv_cell(first_step(row, summary.as_of.has_value())));
    }
    return text;
}

} // namespace dangerline::overlay
