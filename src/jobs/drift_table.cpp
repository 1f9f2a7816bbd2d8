// The table of a mark: wind by direction and strength against the hour of the tide.
#include <algorithm>
#include <cmath>
#include <mutex>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"
#include "dangerline/base/parallel.hpp"
#include "dangerline/jobs/drift.hpp"
#include "jobs/drift_report.hpp"
#include "jobs/drift_scene.hpp"
#include "jobs/drift_words.hpp"
#include "jobs/scene.hpp"

namespace dangerline::jobs {

namespace {

constexpr double around_s = 15.0 * 86400.0; // half a spring-neap cycle either way
constexpr double hour_s = 3600.0;
constexpr int directions = 16, tide_hours = 6;

using Day = DriftTableReport::Day;

/// The tides with the greatest and the least range near a time: high water to the low water after it.
std::pair<Day, Day> days_of(const plan::Plan& plan, const Places& places, std::size_t mark) {
    const auto& asked = places.asked()[mark];
    const Instant middle = asked.from + around_s + 86400.0;
    const auto& curve = places.stations()[places.choices()[mark].stations.front()].prediction.curve;
    const Instant from = std::max(middle - around_s, curve.valid_from() + 12.0 * hour_s);
    const Instant to = std::min(middle + around_s, curve.valid_to() - plan.drift.lasts_s - 12.0 * hour_s);
    std::optional<Day> springs, neaps;
    const auto tides = from < to ? curve.extremes(from, to) : std::vector<tide::HighOrLow>();
    for (std::size_t i = 0; i + 1 < tides.size(); ++i) {
        if (!tides[i].is_high || tides[i + 1].is_high)
            continue;
        const double range = tides[i].height.metres() - tides[i + 1].height.metres();
        if (!springs || range > springs->range_m)
            springs = Day{mark, true, tides[i].at, range};
        if (!neaps || range < neaps->range_m)
            neaps = Day{mark, false, tides[i].at, range};
    }
    if (!springs)
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = "mark \"" + asked.name + "\"",
                                    .what = "its tide has no high water within 15 days that is followed by a "
                                            "low water in the data",
                                    .expected = "a harmonic tide, or a longer table"});
    return {*springs, *neaps};
}

struct Case {
    int direction = 0;
    double mps = 0.0;
    int hour = 0;
};

std::vector<Case> cases_of(const plan::Plan& plan) {
    std::vector<Case> cases;
    for (int direction = 0; direction < directions; ++direction)
        for (const double mps : plan.drift.table_mps)
            for (int hour = -tide_hours; hour <= tide_hours; ++hour)
                cases.push_back({direction, mps, hour});
    return cases;
}

DriftRow row_of(const plan::Plan& plan, const DriftScene& scene, const Day& day, geo::Point point,
                const Case& one, const std::vector<DriftKind>& kinds,
                const std::vector<DriftHazard>& hazards) {
    DriftRow best;
    bool any = false;
    const double from_deg = 360.0 / directions * one.direction;
    const sea::Wind wind = sea::Wind::steady(from_deg, one.mps, "of the table");
    drift::EnsembleSettings settings{.particles = plan.drift.particles, .seed = plan.drift.seed};
    settings.errors = plan.drift.errors;
    settings.threads = 1; // the rows run in parallel
    for (const auto& kind : kinds) {
        if (kind.swamped)
            continue;
        DriftRow row;
        row.mark = day.mark;
        row.springs = day.springs;
        row.tide_hour = one.hour;
        row.begin = day.high_water + hour_s * one.hour;
        row.wind_from_deg = from_deg;
        row.wind_mps = one.mps;
        row.boat = kind.name;
        auto adrift = scene.adrift(point, row.begin);
        adrift.leeway = kind.leeway;
        adrift.wind = &wind;
        const auto ensemble = drift::run(adrift, scene.dangers(), settings);
        const auto summary = drift::summarise(ensemble, adrift, scene.dangers());
        row.early_s = summary.trouble.early_s;
        row.median_s = summary.trouble.median_s;
        row.hazard = summary.soonest;
        row.moved_m = summary.soonest_moved_m;
        if (summary.soonest_end != drift::End::afloat)
            row.why = why_words(summary.soonest_end, summary.soonest_water, hazards);
        for (const auto& o : summary.outcomes) {
            using Kind = drift::Outcome::Kind;
            (o.kind == Kind::danger    ? row.danger_share
             : o.kind == Kind::unknown ? row.unknown_share
                                       : row.afloat_share) += o.share;
            if (o.kind == Kind::unknown && row.why.empty()) // the commonest comes first
                row.why = why_words(o.end, o.hazard, hazards);
        }
        for (const auto& c : summary.clusters)
            if (row.hazard == c.hazard && !row.place)
                row.place = c.place;
        // The boat with the shorter time counts; of equal ones the one that more often comes to grief.
        if (!any || row.early_s < best.early_s ||
            (row.early_s == best.early_s && row.afloat_share < best.afloat_share))
            best = row;
        any = true;
    }
    return best;
}

std::string combination(const DriftRow& row) {
    static constexpr const char* points[] = {"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                             "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"};
    const auto point = static_cast<std::size_t>(std::lround(row.wind_from_deg / 22.5)) % 16;
    const std::string hour = row.tide_hour == 0 ? "at high water"
                                                : fmt::format("{} h {} high water", std::abs(row.tide_hour),
                                                              row.tide_hour < 0 ? "before" : "after");
    return fmt::format("wind from {} {:.0f} kn, {}, {}", points[point], row.wind_mps / mps_per_knot, hour,
                       row.springs ? "springs" : "neaps");
}

std::string time_words(const DriftRow& row, const DriftReport& base) {
    const std::string unknown =
        row.unknown_share > 0.0 ? share_words(row.unknown_share) + " of the runs end where nothing is known"
                                : std::string();
    if (std::isfinite(row.early_s) && !row.hazard)
        return fmt::format("{} in hand, then nothing is known: {} ({})", minutes_words(row.early_s), row.why,
                           unknown);
    return (std::isfinite(row.early_s) ? minutes_words(row.early_s) + " in hand before " +
                                             told(base.hazards[*row.hazard], row.moved_m)
                                       : "fewer than one run in twenty meets anything in " +
                                             minutes_words(base.plan.drift.lasts_s)) +
           (unknown.empty() ? unknown : fmt::format("; {}, most of them: {}", unknown, row.why));
}

void say(const DriftTableReport& report, std::vector<DriftRow> rows, const std::string& name,
         std::vector<std::string>& out) {
    const auto sooner = [](const DriftRow& a, const DriftRow& b) {
        return a.early_s != b.early_s ? a.early_s < b.early_s : a.afloat_share < b.afloat_share;
    };
    // Time in hand of which most is not known is not the best there is.
    const auto not_known = [](const DriftRow& row) { return row.unknown_share > 0.5; };
    const auto worse = [&](const DriftRow& a, const DriftRow& b) {
        return not_known(a) != not_known(b) ? not_known(a) : sooner(a, b);
    };
    const auto unknown = std::count_if(rows.begin(), rows.end(), not_known);
    const auto short_time = static_cast<std::size_t>(
        std::count_if(rows.begin(), rows.end(), [](const DriftRow& r) { return r.early_s < 1800.0; }));
    for (const bool springs : {true, false}) {
        const auto half = std::stable_partition(
            rows.begin(), rows.end(), [springs](const DriftRow& row) { return row.springs == springs; });
        const auto worst = std::min_element(rows.begin(), half, sooner);
        const auto best = std::max_element(rows.begin(), half, worse);
        out.push_back(
            fmt::format("{}: worst {}: {}.", name, combination(*worst), time_words(*worst, report.base)));
        out.push_back(
            fmt::format("{}: best {}: {}.", name, combination(*best), time_words(*best, report.base)));
    }
    out.push_back(fmt::format("{}: of {} combinations {} leave less than 30 min in hand.", name, rows.size(),
                              short_time));
    if (unknown > 0)
        out.push_back(
            fmt::format("{}: in {} combinations most runs end where nothing is known.", name, unknown));
}

void run_rows(const plan::Plan& plan, const Places& places, const std::vector<tide::Choice>& choices,
              const std::function<void(double)>& progress, DriftTableReport& report) {
    const auto kinds = drift_kinds(plan);
    const auto cases = cases_of(plan);
    const std::size_t total = places.asked().size() * 2 * cases.size();
    std::mutex guard;
    std::size_t done = 0;
    const auto tick = [&] {
        const std::lock_guard lock(guard);
        progress(static_cast<double>(++done) / static_cast<double>(total));
    };
    for (std::size_t m = 0; m < places.asked().size(); ++m) {
        const auto& asked = places.asked()[m];
        report.base.marks.push_back(
            {asked.name, asked.position, places.points()[m], asked.from + around_s + 86400.0, {}, {}, {}});
        const auto [springs, neaps] = days_of(plan, places, m);
        const std::size_t first_row = report.rows.size();
        std::optional<DriftScene> scene;
        for (const Day& day : {springs, neaps}) {
            report.days.push_back(day);
            const Instant from = day.high_water - hour_s * tide_hours;
            const Instant to = day.high_water + hour_s * tide_hours + plan.drift.lasts_s;
            if (!scene)
                scene.emplace(plan, report.base.plane, places, choices[m], places.distrust(choices[m]),
                              square_around(places.points()[m], plan.drift.within_m), from, to);
            else
                scene->move_to(from, to);
            std::vector<DriftRow> rows(cases.size());
            parallel_for(cases.size(), [&](std::size_t i) {
                rows[i] = row_of(plan, *scene, day, places.points()[m], cases[i], kinds, report.base.hazards);
                tick();
            });
            report.rows.insert(report.rows.end(), rows.begin(), rows.end());
        }
        say(report, {report.rows.begin() + static_cast<std::ptrdiff_t>(first_row), report.rows.end()},
            asked.name, report.sentences);
    }
    const auto run_kinds =
        std::count_if(kinds.begin(), kinds.end(), [](const auto& k) { return !k.swamped; });
    report.particle_steps = total * static_cast<std::uint64_t>(run_kinds) * plan.drift.particles *
                            static_cast<std::uint64_t>(std::ceil(plan.drift.lasts_s / drift::drift_step_s));
}

} // namespace

DriftTableReport run_drift_table(const plan::Plan& plan, const std::function<void(double)>& progress) {
    Diagnostics diagnostics;
    auto marks = needed_marks(plan);
    for (auto& mark : marks) { // charts and tides for half a cycle either way
        mark.to = mark.from + around_s + 86400.0;
        mark.from = mark.from - around_s - 86400.0;
    }
    DriftTableReport report{{plan, plane_around(marks, plan)}};
    const auto first = std::min_element(marks.begin(), marks.end(),
                                        [](const auto& a, const auto& b) { return a.from < b.from; });
    report.base.as_of = plan.as_of.value_or(day_of(first->from + around_s + 86400.0));
    Places places(plan, report.base.plane, std::move(marks), report.base.as_of,
                  {plan.drift.within_m + drift_edge_m, drift_longer_s(plan) + plan.drift.lasts_s},
                  diagnostics);
    const auto choices = choices_around(places, plan);
    describe(plan, places, diagnostics, report.base);
    tell_tides(places, choices, report.base);
    try {
        run_rows(plan, places, choices, progress, report);
    } catch (const Failure& failure) {
        rethrow_with_plan(failure, plan);
    }
    return report;
}

} // namespace dangerline::jobs
