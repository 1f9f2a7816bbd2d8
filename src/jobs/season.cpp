#include "dangerline/jobs/season.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/hazard/build.hpp"
#include "jobs/season_limits.hpp"
#include "jobs/streams.hpp"
#include "jobs/tides_along.hpp"

#include <algorithm>

namespace dangerline::jobs {

namespace {

constexpr double day_s = 86400.0;

geo::Box bounds_of(const std::vector<passage::Track>& tracks) {
    geo::Box box = tracks.front().chords().front().box();
    for (const auto& track : tracks)
        for (const auto& chord : track.chords())
            box = {std::min(box.min_x, chord.box().min_x), std::min(box.min_y, chord.box().min_y),
                   std::max(box.max_x, chord.box().max_x), std::max(box.max_y, chord.box().max_y)};
    return box;
}

/// How long a slow boat may be under way, streams left out: half as long again is allowed for those.
double longest_trip_s(const std::vector<passage::Track>& tracks, const std::vector<PlannedRoute>& routes,
                      double speed_factor) {
    double longest = 0.0;
    for (std::size_t i = 0; i < tracks.size(); ++i) {
        const passage::Timetable times(tracks[i], Instant::from_unix_seconds(0.0));
        double trip = 1.5 * times.arrival().unix_seconds() / speed_factor + routes[i].recovery_s;
        for (const auto& wait : routes[i].waits)
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

[[noreturn]] void rethrow_with_plan(const Failure& failure, const plan::Plan& plan) {
    Complaint c = failure.complaint();
    if (c.file.empty() && failure.fault() == Fault::plan)
        c.file = plan.file.string();
    throw Failure(failure.fault(), c);
}

void require(bool there, const plan::Plan& plan, const char* what, const char* remedy) {
    if (!there)
        throw Failure(Fault::plan,
                      {.file = plan.file.string(), .object = "season", .what = what, .remedy = remedy});
}

class Job {
  public:
    Job(const plan::Plan& plan, SeasonReport& report) : plan_(plan), report_(report) {}

    void run() {
        const auto routes = read_routes(plan_, report_.diagnostics);
        report_.plane = plane_around(routes, plan_);
        auto cells = read_charts(plan_, routes, report_.diagnostics);
        report_.cells = cell_notes(cells, report_.as_of);
        lay_out(cells, report_.plane, report_.diagnostics);
        std::vector<passage::Track> tracks;
        for (const auto& planned : routes)
            tracks.emplace_back(planned.route, report_.plane);
        const auto& sure = plan_.season->robustness;
        const double trip_s = longest_trip_s(tracks, routes, 1.0 - sure.slower);
        times_ = {report_.asked.from - sure.early_s - day_s, report_.asked.to + sure.late_s + trip_s + day_s};
        TidesAlong tides(plan_, times_.from, times_.to);
        hazards_ = hazard::build(
            cells, report_.diagnostics,
            {tides.bottom(tracks, cells, report_.required_m), report_.as_of, bounds_of(tracks)});
        tides.lay(report_.plane, hazards_, tracks);
        streams_ = read_streams(plan_, report_.plane, cells, land_of(hazards_), times_.from, times_.to);
        report_.streams = streams_.map != nullptr;
        report_.stream_notes = streams_.notes;
        datum_ = cells.empty() ? 0 : cells.front().header.sdat;
        TideNotes notes = tides.notes(cells.empty() ? std::nullopt : std::optional(datum_));
        report_.tide_words = tides.words();
        report_.tide_notes = std::move(notes.lines);
        report_.warnings = std::move(notes.warnings);
        for (std::size_t i = 0; i < routes.size(); ++i)
            add(tracks[i], routes[i], tides, i);
        sort_worst_first(report_.diagnostics);
    }

  private:
    void add(const passage::Track& track, const PlannedRoute& planned, const TidesAlong& tides,
             std::size_t number) {
        passage::Conditions conditions{plan_.boat, passage::required_water(plan_.boat, plan_.margins),
                                       plan_.doubts, tides.along(number), plan_.sea};
        if (plan_.wind)
            conditions.wind_from_deg = plan_.wind->from_deg;
        conditions.tide_distrust = tides.distrust(number);
        const bool back = returns(planned.route);
        const passage::Track home(way_home(planned.route, back), report_.plane);
        passage::Conditions at_home = conditions;
        at_home.tides = tides_home(conditions.tides, track.length(), back);
        const auto ask = ask_of(plan_, track, conditions.tides, datum_, times_);
        const passage::VoyageMaker voyages = [&](const passage::Track& of, double share,
                                                 const Interval& when) {
            PlannedRoute own = planned;
            if (&of != &track) { // the way home is taken without waits
                own.waits.clear();
                own.recovery_s = 0.0;
            }
            const Interval known{std::max(times_.from, when.from - day_s),
                                 std::min(times_.to, when.to + days_)};
            return voyage_of(of, own, plan_, streams_, known.from, known.to, share);
        };
        const passage::WayHome way{home, at_home, back ? track.length() / 2.0 : track.length()};
        report_.routes.push_back({track, passage::season(track, voyages, hazards_, conditions, ask, &way),
                                  back, tides.warnings(number)});
    }

    static constexpr double days_ = 400.0 * day_s;
    const plan::Plan& plan_;
    SeasonReport& report_;
    Interval times_{};
    hazard::Hazards hazards_;
    Streams streams_;
    int datum_ = 0;
};

} // namespace

SeasonReport run_season(const plan::Plan& plan) {
    require(plan.season.has_value(), plan, "the plan asks of no season",
            "add [season] with from = \"2026-04-01\" and to = \"2026-09-30\"");
    require(!plan.routes.empty(), plan, "the plan names no route",
            "add a [[route]] table with the file of a drawn route");
    SeasonReport report{plan, geo::Plane({0.0, 0.0})};
    report.asked = departures_of(plan);
    report.as_of = plan.as_of.value_or(plan.season->from);
    report.required_m = passage::required_water(plan.boat, plan.margins).metres();
    report.required_words = required_words(plan);
    try {
        Job(plan, report).run();
    } catch (const Failure& failure) {
        rethrow_with_plan(failure, plan);
    }
    return report;
}

} // namespace dangerline::jobs
