#include "dangerline/jobs/chart.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/chart/sources.hpp"
#include "dangerline/chart/vector_source.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/hazard/rules.hpp"
#include "dangerline/jobs/stations.hpp"
#include "dangerline/survey/standards.hpp"
#include "dangerline/survey/zones.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

bool has_depth(hazard::Treatment t) {
    using T = hazard::Treatment;
    return t == T::submerged || t == T::soundings || t == T::bottom || t == T::dredged || t == T::swept ||
           t == T::fixture;
}

std::vector<KindCount> count_hazards(const hazard::Hazards& hazards) {
    std::map<std::string, KindCount> by_class;
    for (const auto& h : hazards.all) {
        if (h.object.lnam.empty())
            continue;
        const auto rules = hazard::rules_for(h.object.cls);
        auto& count = by_class[h.object.cls];
        count.cls = h.object.cls;
        count.what = rules.empty() ? "class no rule knows" : std::string(rules.front()->what);
        count.has_depth = !rules.empty() && has_depth(rules.front()->treatment);
        if (h.kind == hazard::Kind::regulated && rules.size() > 1)
            continue; // the same object once more under its second rule
        ++count.objects;
        const bool known = std::any_of(h.steps.begin(), h.steps.end(), [](const hazard::Step& s) {
            return s.in_force == hazard::InForce::below && s.depth_known && std::isfinite(s.depth.metres());
        });
        count.known_depth += known;
    }
    std::vector<KindCount> out;
    for (auto& [cls, count] : by_class)
        out.push_back(std::move(count));
    std::stable_sort(out.begin(), out.end(),
                     [](const KindCount& a, const KindCount& b) { return a.has_depth > b.has_depth; });
    return out;
}

std::vector<QualityCount> count_quality(const std::vector<survey::QualityZone>& zones) {
    std::map<std::pair<int, std::string>, QualityCount> table;
    for (const auto& zone : zones) {
        const auto year = zone.years.first ? zone.years.first : zone.years.last;
        const std::string decade = year ? fmt::format("{}s", *year / 10 * 10) : "undated";
        auto& row = table[{zone.catzoc == 0 ? 99 : zone.catzoc, decade}];
        row.zone = survey::zone_of_confidence(zone.catzoc).name;
        row.decade = decade;
        ++row.zones;
        row.square_km += geo::area_of(geo::polygons_of(*zone.shape)) / 1e6;
    }
    std::vector<QualityCount> out;
    for (auto& [key, row] : table)
        out.push_back(std::move(row));
    return out;
}

void set_bounds(const chart::Cell& cell, CellSummary& s) {
    const auto middle = chart::middle_of(cell);
    if (!middle)
        return;
    geo::Position low{1e9, 1e9}, high{-1e9, -1e9};
    const auto take = [&](const geo::Position& p) {
        const double lon = geo::longitude_near(p.lon_deg, middle->lon_deg);
        low = {std::min(low.lon_deg, lon), std::min(low.lat_deg, p.lat_deg)};
        high = {std::max(high.lon_deg, lon), std::max(high.lat_deg, p.lat_deg)};
    };
    for (const auto& f : cell.features) {
        if (f.cls != "M_COVR")
            continue;
        for (const auto& rings : f.geometry.polygons)
            for (const auto& ring : rings)
                std::for_each(ring.begin(), ring.end(), take);
    }
    if (low.lon_deg <= high.lon_deg) {
        s.south_west = low;
        s.north_east = high;
    }
}

/// The mean of the plan's first station over 30 days from its first departure, its day of use, or 2026.
MeanTide mean_tide(const plan::Plan& plan) {
    constexpr double days_s = 30.0 * 86400.0, step_s = 1800.0;
    const Instant from = plan.depart  ? plan.zone.parse(*plan.depart)
                         : plan.as_of ? start_of(*plan.as_of)
                                      : start_of({2026, 1, 1});
    const auto tides = read_tides(plan, from, from + days_s);
    const auto stations = stations_of(plan, tides);
    double sum = 0.0;
    int count = 0;
    for (double t = 0.0; t <= days_s; t += step_s)
        if (const auto height = stations.front().prediction.curve.height(from + t)) {
            sum += height->metres();
            ++count;
        }
    if (count == 0)
        throw Failure(Fault::plan,
                      {.file = plan.file.string(),
                       .object = "tide",
                       .what = "no height is known in the 30 days from " + to_text(day_of(from))});
    return {passage::required_water(plan.boat, plan.margins).metres(), sum / count, tides.front().words};
}

std::optional<double> tide_over(const chart::Cell& cell, const plan::Plan& plan, const MeanTide& tide,
                                Diagnostics& diagnostics) {
    const auto tides = stations_of(plan, read_tides(plan, start_of({2026, 1, 1}), start_of({2026, 1, 2})));
    const auto offset = tides.front().datums.offset_to(cell.header.sdat);
    if (!offset) {
        diagnostics.push_back({Severity::warning, cell.file, "",
                               "its sounding datum is not linked to the plan's tide; no shares are given"});
        return std::nullopt;
    }
    return tide.height_m + *offset;
}

geo::Box box_of(const chart::Cell& cell) {
    geo::Box all{0.0, 0.0, 0.0, 0.0};
    for (const auto& f : cell.features)
        if (f.shape && !f.shape->empty()) {
            const auto& b = f.shape->box();
            all = {std::min(all.min_x, b.min_x), std::min(all.min_y, b.min_y), std::max(all.max_x, b.max_x),
                   std::max(all.max_y, b.max_y)};
        }
    return all;
}

CellSummary summarise(chart::Cell& cell, const std::optional<CalendarDay>& day, const plan::Plan* boat,
                      const std::optional<MeanTide>& tide, Diagnostics& diagnostics) {
    std::vector<chart::Cell> one;
    one.push_back(std::move(cell));
    const geo::Plane plane = plane_around(one);
    chart::lay_out(one.front(), plane, diagnostics);
    hazard::BuildSettings settings;
    settings.as_of = day;
    std::optional<double> height_m;
    if (tide) {
        height_m = tide_over(one.front(), *boat, *tide, diagnostics);
        const double m = height_m.value_or(0.0);
        settings.bottom = bottom_window({box_of(one.front())}, tide->required_m, m, m, boat->doubts);
    }
    const auto hazards = hazard::build(one, diagnostics, settings);
    const chart::Cell& c = one.front();
    CellSummary s;
    s.note = cell_notes(one, day).front();
    s.file = c.file;
    s.updates_on_disk = c.updates_on_disk;
    s.withdrawn = c.withdrawn;
    s.sounding_datum = c.header.sdat;
    s.height_datum = c.header.vdat;
    s.depth_unit = c.header.duni;
    s.covered_square_km = geo::area_of(c.coverage) / 1e6;
    s.coverage_stated = c.coverage_stated;
    s.gap_square_metres = c.gap_square_metres;
    s.overlap_square_metres = c.overlap_square_metres;
    set_bounds(c, s);
    for (const auto& f : c.features)
        ++s.objects[f.cls];
    s.hazards = count_hazards(hazards);
    s.quality = count_quality(hazards.zones);
    if (height_m)
        s.share = hazard::share_of_water(hazards, Water::from_metres(tide->required_m),
                                         TideHeight::from_metres(*height_m), boat->doubts.tide_height_m);
    return s;
}

} // namespace

ChartReport run_chart(const std::vector<std::filesystem::path>& sources, std::optional<CalendarDay> as_of,
                      const plan::Plan* plan) {
    ChartReport report;
    report.as_of = as_of;
    if (plan)
        report.tide = mean_tide(*plan);
    const auto found = chart::find_sources(sources, report.diagnostics);
    const bool only_one = found.cells.size() + found.vectors.size() == 1;
    // One at a time, so that a folder of cells does not stand in memory at once.
    const auto take = [&](const auto& read) {
        try {
            chart::Cell cell = read();
            report.cells.push_back(summarise(cell, as_of, plan, report.tide, report.diagnostics));
        } catch (const Failure& failure) {
            if (only_one || failure.fault() != Fault::data)
                throw;
            ++report.refused;
            const auto& c = failure.complaint();
            report.diagnostics.push_back({Severity::broken, c.file, c.object, "refused: " + c.what});
        }
    };
    for (const auto& cell : found.cells)
        take([&] { return chart::read_found_cell(cell, report.diagnostics); });
    for (const auto& path : found.vectors)
        take([&] { return chart::read_vector_chart(path, {}, report.diagnostics); });
    sort_worst_first(report.diagnostics);
    return report;
}

} // namespace dangerline::jobs
