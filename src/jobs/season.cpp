#include "dangerline/jobs/season.hpp"

#include "dangerline/base/error.hpp"
#include "jobs/scene.hpp"
#include "jobs/season_limits.hpp"

#include <algorithm>

namespace dangerline::jobs {

namespace {

constexpr double day_s = 86400.0;
constexpr double way_home_s = 3.0 * day_s; ///< how long after an arrival the way home is looked at

/// How long a slow boat may be under way, streams left out: half as long again is allowed for those.
double longest_trip_s(const std::vector<PlannedRoute>& routes, const geo::Plane& plane, double speed_factor) {
    double longest = 0.0;
    for (const auto& planned : routes) {
        const passage::Timetable times(passage::Track(planned.route, plane), Instant::from_unix_seconds(0.0));
        double trip = 1.5 * times.arrival().unix_seconds() / speed_factor + planned.recovery_s;
        for (const auto& wait : planned.waits)
            trip += wait.seconds + (wait.until ? day_s : 0.0);
        longest = std::max(longest, trip);
    }
    return longest;
}

/// Whether the second half runs back over the first.
bool returns(const passage::Route& route) {
    const auto& p = route.places;
    if (p.size() < 3 || p.size() % 2 == 0)
        return false;
    for (std::size_t i = 0; i < p.size() / 2; ++i)
        if (p[i].lon_deg != p[p.size() - 1 - i].lon_deg || p[i].lat_deg != p[p.size() - 1 - i].lat_deg)
            return false;
    return true;
}

template <typename T>
std::vector<T> reversed(const std::vector<T>& list, std::size_t first) {
    return {list.rbegin(), list.rend() - static_cast<std::ptrdiff_t>(first)};
}

/// The way home without waits: the way out reversed, of a route that returns its second half.
passage::Route way_home(const passage::Route& out, bool there_and_back) {
    passage::Route home = out;
    if (there_and_back) {
        const auto half = static_cast<std::ptrdiff_t>(out.places.size() / 2);
        home.places.erase(home.places.begin(), home.places.begin() + half);
        home.half_widths_m.erase(home.half_widths_m.begin(), home.half_widths_m.begin() + half);
        home.speeds_mps.erase(home.speeds_mps.begin(), home.speeds_mps.begin() + half);
        home.shore_start_m = 0.0; // it turns afloat
    } else {
        home.places = reversed(out.places, 0);
        home.half_widths_m = reversed(out.half_widths_m, 0);
        home.speeds_mps = reversed(out.speeds_mps, 0);
        std::swap(home.shore_start_m, home.shore_end_m);
    }
    home.place_names.clear();
    return home;
}

/// Tides along a track whose end is the start of another, cut and turned as way_home() does it.
passage::Tides tides_home(const passage::Tides& out, double length_m, bool there_and_back) {
    passage::Tides home{out.stations, {}};
    for (auto reach : out.reaches) {
        reach.to_m = std::min(reach.to_m, length_m);
        const double from = there_and_back ? reach.from_m - length_m / 2.0 : length_m - reach.to_m;
        const double to = there_and_back ? reach.to_m - length_m / 2.0 : length_m - reach.from_m;
        if (to < 0.0)
            continue;
        reach.from_m = std::max(from, 0.0);
        reach.to_m = to;
        home.reaches.push_back(reach);
    }
    std::sort(home.reaches.begin(), home.reaches.end(),
              [](const auto& a, const auto& b) { return a.from_m < b.from_m; });
    return home;
}

/// One route of a scene.
passage::Season season_of(const plan::Plan& plan, const Scene& scene, const geo::Plane& plane,
                          std::size_t number, const Interval& times, bool back,
                          std::shared_ptr<const std::vector<passage::TriedRun>> tried) {
    const auto& track = scene.tracks()[number];
    const auto& planned = scene.routes()[number];
    auto conditions = scene.conditions(number);
    conditions.tried = std::move(tried);
    const passage::Track home(way_home(planned.route, back), plane);
    passage::Conditions at_home = conditions;
    at_home.tides = tides_home(conditions.tides, track.length(), back);
    const auto ask = ask_of(plan, track, conditions.tides, scene.chart_code().value_or(0), times);
    const passage::VoyageMaker voyages = [&](const passage::Track& of, double share, const Interval& when) {
        PlannedRoute own = planned;
        if (&of != &track) { // the way home is taken without waits, and ends at the slip likewise
            own.waits.clear();
            own.route = of.route();
        }
        // For a day or two the streams after it suffice.
        const Instant to =
            when.length_s() < day_s ? std::min(times.to, when.to + (times.to - ask.departures.to)) : times.to;
        return voyage_of(of, own, plan, scene.streams(), std::max(times.from, when.from - day_s), to, share);
    };
    const passage::WayHome way{home, at_home, back ? track.length() / 2.0 : track.length()};
    return passage::season(track, voyages, scene.hazards(), conditions, ask, &way);
}

} // namespace

SeasonReport run_season(const plan::Plan& plan) {
    if (!plan.season)
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = "season",
                                    .what = "the plan asks of no season",
                                    .remedy = "add [season] with from = 2026-04-01 and to = 2026-09-30"});
    Diagnostics diagnostics;
    auto routes = needed_routes(plan, diagnostics);
    SeasonReport report{plan, plane_around(routes, plan)};
    report.asked = departures_of(plan);
    report.as_of = plan.as_of.value_or(plan.season->from);
    report.required_m = passage::required_water(plan.boat, plan.margins).metres();
    report.required_words = required_words(plan);
    const auto& sure = plan.season->robustness;
    const double trip_s = longest_trip_s(routes, report.plane, 1.0 - sure.slower);
    const Interval times{report.asked.from - sure.early_s - day_s,
                         report.asked.to + sure.late_s + trip_s + way_home_s};
    Scene scene(plan, report.plane, std::move(routes), report.as_of, times.from, times.to, diagnostics);
    report.cells = cell_notes(scene.cells(), report.as_of);
    report.streams = scene.streams().map != nullptr;
    report.stream_notes = scene.streams().notes;
    TideNotes notes = scene.tides().notes(scene.chart_code());
    report.warnings = scene.warnings(notes);
    report.tide_words = scene.tides().words();
    report.tide_notes = std::move(notes.lines);
    const auto outcomes = read_tried(plan, report.plane, report.as_of, scene.cells(), diagnostics);
    scene.add(shoals_of(outcomes, report.plane));
    const auto tried = std::make_shared<const std::vector<passage::TriedRun>>(runs_that_count(outcomes));
    for (std::size_t i = 0; i < scene.routes().size(); ++i)
        try {
            const bool back = returns(scene.routes()[i].route);
            report.routes.push_back({scene.tracks()[i],
                                     season_of(plan, scene, report.plane, i, times, back, tried), back,
                                     scene.tides().warnings(i)});
        } catch (const Failure& failure) {
            rethrow_with_plan(failure, plan);
        }
    sort_worst_first(diagnostics);
    report.diagnostics = std::move(diagnostics);
    return report;
}

} // namespace dangerline::jobs
