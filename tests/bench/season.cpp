// A season's departures by calculation against trying them: ratios within one run, medians of seven.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <functional>
#include <numeric>
#include <random>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/tide/harmonic.hpp"
#include "passage/season_run.hpp"

using namespace dangerline;
using namespace dangerline::passage;

namespace {

constexpr int rounds = 7;
constexpr double day_s = 86400.0, step_s = 600.0;

double seconds_of(const std::function<void()>& work) {
    const auto begin = std::chrono::steady_clock::now();
    work();
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
}

double median_seconds(const std::function<void()>& work) {
    std::vector<double> seconds;
    for (int i = 0; i < rounds; ++i)
        seconds.push_back(seconds_of(work));
    std::sort(seconds.begin(), seconds.end());
    return seconds[rounds / 2];
}

/// Streams that turn with the tide, everywhere alike.
class Turning : public sea::StreamField {
  public:
    sea::StreamThere at(geo::Point place, Instant when) const override {
        return {.stream = fix(place)(when)};
    }
    sea::PlaceStream fix(geo::Point) const override {
        return [](Instant t) {
            const double turn = t.unix_seconds() / 44714.0 * 6.283185307179586;
            return std::optional(sea::Stream{0.8 * std::cos(turn), 0.5 * std::sin(turn)});
        };
    }
};

struct Scene {
    geo::Plane plane{{0.0, 0.0}};
    hazard::Hazards hazards;
    std::vector<geo::Position> places;
    int datum = 0;
};

/// A chain of soundings 2 to 6 km apart: the legs run over water.
Scene scene_of(const std::string& path) {
    Diagnostics said;
    std::vector<chart::Cell> cells{chart::read_cell(chart::find_cells({path}).front(), said)};
    Scene scene;
    scene.plane = geo::Plane(*chart::middle_of(cells.front()));
    chart::lay_out(cells.front(), scene.plane, said);
    scene.datum = cells.front().header.sdat;
    scene.hazards = hazard::build(cells, said);
    std::vector<geo::Point> wet;
    for (const auto& h : scene.hazards.all)
        if (h.object.cls == "SOUNDG")
            wet.push_back(h.steps.front().extent->points().front());
    std::mt19937 random(30);
    geo::Point here = wet[random() % wet.size()];
    scene.places.push_back(scene.plane.to_position(here));
    for (int tries = 0; scene.places.size() < 31 && tries < 1'000'000; ++tries) {
        const geo::Point next = wet[random() % wet.size()];
        const double metres = geo::Leg{here, next}.length();
        if (metres < 500.0 || metres > 6000.0)
            continue;
        scene.places.push_back(scene.plane.to_position(next));
        here = next;
    }
    return scene;
}

Track track_of(const Scene& scene, std::size_t legs) {
    Route r;
    r.name = "bench";
    legs = std::min(legs, scene.places.size() - 1);
    r.places.assign(scene.places.begin(), scene.places.begin() + static_cast<std::ptrdiff_t>(legs) + 1);
    r.half_widths_m.assign(legs, 50.0);
    r.speeds_mps.assign(legs, 7.0);
    r.shore_start_m = r.shore_end_m = 0.0;
    return Track(r, scene.plane);
}

struct Stage {
    std::size_t pieces = 0, closed = 0;
};

/// The calculated windows of one track: levels, crossings, mapping, joining; contacts are found before.
Stage windows_stage(const Track& track, const Voyage& voyage, const ConditionSet& set,
                    const Conditions& conditions, const Interval& departures) {
    const Interval times{departures.from - 3600.0, voyage.leave(track.length(), departures.to) + 3600.0};
    SeasonTides tides(conditions, track.length(), times);
    for (std::size_t r = 0; r < tides.reaches().size(); ++r)
        for (const auto& c : set.visible)
            if (c.when == Condition::When::below)
                tides.source(r, conditions.tides.stations.front().datums.source_code.value());
    const auto visible = without_hidden(set.all);
    const Mapper mapper(voyage, set.landings, departures);
    const auto closed = merged(closings(visible, mapper, tides, Reading::charted), departures);
    return {visible.size(), closed.size()};
}

/// Trying: every condition at every departure, three heights each by a libm sum of 37 cosines.
double stepping_seconds(const Track& track, const Voyage& voyage, const ConditionSet& set,
                        const Interval& departures, int constituents, double part) {
    std::vector<double> amplitude, speed, phase;
    for (int i = 0; i < constituents; ++i) {
        amplitude.push_back(1.0 / (1.0 + i));
        speed.push_back((28.0 - i * 0.37) / 3600.0 * 0.017453292519943295);
        phase.push_back(0.3 * i);
    }
    const auto height = [&](Instant t) {
        double sum = 2.0;
        for (std::size_t i = 0; i < amplitude.size(); ++i)
            sum += amplitude[i] * std::cos(speed[i] * t.unix_seconds() + phase[i]);
        return sum;
    };
    const double count = departures.length_s() / step_s;
    std::size_t closed = 0;
    const double taken = seconds_of([&] {
        for (double k = 0.0; k < count * part; k += 1.0) {
            const Timetable times(voyage, departures.from + k * step_s);
            for (const auto& c : set.all) {
                if (c.when != Condition::When::below)
                    continue;
                const Instant enter = times.at(c.span.from), leave = times.leave(c.span.to);
                const double lowest =
                    std::min({height(enter), height(enter + 0.5 * (leave - enter)), height(leave)});
                closed += lowest < c.level_m;
            }
        }
    });
    if (closed == static_cast<std::size_t>(-1))
        std::printf("never\n");
    (void)track;
    return taken / part;
}

/// As many constituents as a national service publishes for a port.
tide::Constants many_constants() {
    tide::Constants constants;
    double amplitude_m = 1.4, phase_deg = 20.0;
    for (const char* name :
         {"M2",  "S2",  "N2",   "K1", "M4",   "O1", "M6", "MK3",  "S4", "MN4", "NU2", "S6",   "MU2",
          "2N2", "OO1", "LAM2", "S1", "M1",   "J1", "MM", "SSA",  "SA", "MSF", "MF",  "RHO1", "Q1",
          "T2",  "R2",  "2Q1",  "P1", "2SM2", "M3", "L2", "2MK3", "K2", "M8",  "MS4"})
        if (const auto* found = tide::find_constituent(name)) {
            constants.terms.push_back({found, amplitude_m, phase_deg});
            amplitude_m = std::max(0.01, amplitude_m * 0.6);
            phase_deg = std::fmod(phase_deg + 77.0, 360.0);
        }
    return constants;
}

struct Bench {
    const Scene& scene;
    tide::Constants constants;

    Conditions conditions(const Interval& departures) const {
        Conditions c;
        c.required = Water::from_metres(2.4);
        c.tides = Tides::one(
            tide::Curve::harmonic(constants, 2.0, departures.from - 2.0 * day_s, departures.to + 4.0 * day_s),
            {scene.datum, {}});
        return c;
    }

    void run(double days, std::size_t legs, const sea::StreamField* streams) const {
        const Instant from = start_of({2026, 4, 1});
        const Interval departures{from, from + days * day_s};
        const Track track = track_of(scene, legs);
        Voyage::Settings settings;
        settings.streams = streams;
        settings.from = from - day_s;
        settings.to = departures.to + 3.0 * day_s;
        const Conditions c = conditions(departures);
        const SeasonAsk ask{.departures = departures};
        const Voyage voyage(track, settings);
        SeasonTides tides(c, track.length(), {from - 3600.0, departures.to + 2.0 * day_s});
        const TriedAlong runs(track, nullptr, c.boat);
        ConditionSet set = conditions_of(track, false, scene.hazards, c, runs, ask, tides);
        // What no tide covers would close everything and hide the rest.
        std::erase_if(set.all, [](const Condition& one) { return one.when != Condition::When::below; });
        Stage stage;
        const double calculated =
            median_seconds([&] { stage = windows_stage(track, voyage, set, c, departures); });
        const double part = streams ? 0.002 : 0.004;
        const double tried = stepping_seconds(track, voyage, set, departures, 37, part);
        const VoyageMaker voyages = [&](const Track& t, double share, const Interval& when) {
            Voyage::Settings s = settings;
            s.from = when.from - day_s;
            s.to = when.to + 3.0 * day_s;
            s.speed_factor = share;
            return Voyage(t, s);
        };
        const double whole = seconds_of([&] { season(track, voyages, scene.hazards, c, ask); });
        std::printf("%3.0f days, %2zu legs, %s: %4zu steps, %3zu after hiding, %4zu closures: %8.2f ms; "
                    "trying (%.1f %% "
                    "of it) %8.0f ms, %.0f times (at least %d); all of season() %.0f ms\n",
                    days, legs, streams ? "streams" : "steady ", set.all.size(), stage.pieces, stage.closed,
                    calculated * 1e3, part * 100.0, tried * 1e3, tried / calculated, streams ? 10 : 500,
                    whole * 1e3);
    }

    /// Steps whose critical tides stand on decimetres, or each on a level of its own.
    void many(std::size_t steps, std::size_t levels) const {
        const Instant from = start_of({2026, 4, 1});
        const Interval departures{from, from + 180.0 * day_s};
        const Track track = track_of(scene, 30);
        const Voyage voyage(track);
        const double filling = median_seconds([&] { conditions(departures); });
        const Conditions c = conditions(departures);
        std::mt19937 random(1000);
        ConditionSet set;
        set.reasons.resize(steps);
        for (std::size_t i = 0; i < steps; ++i) {
            Condition one;
            one.when = Condition::When::below;
            one.level_m = 4.5 * static_cast<double>(random() % levels) / static_cast<double>(levels);
            const double at = track.length() * static_cast<double>(random() % 10000) / 10000.0;
            one.span = {at, std::min(track.length(), at + 100.0 + static_cast<double>(random() % 400))};
            one.reason = i;
            set.all.push_back(one);
        }
        set.visible = set.all;
        Stage stage;
        const double taken =
            median_seconds([&] { stage = windows_stage(track, voyage, set, c, departures); });
        std::printf(
            "180 days, 30 legs, %4zu steps on %4zu critical tides, %3zu after hiding: %.1f ms, filling the "
            "curve %.2f ms: %.0f times%s\n",
            steps, levels, stage.pieces, taken * 1e3, filling * 1e3, taken / filling,
            steps == 1000 && levels == 45 ? " (under 60)" : "");
    }
};

} // namespace

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fprintf(stderr, "usage: season CELL\n");
        return 2;
    }
    const Scene scene = scene_of(argv[1]);
    const Bench bench{scene, many_constants()};
    const Turning streams;
    bench.run(180.0, 30, nullptr);
    bench.run(180.0, 30, &streams);
    for (const double months : {1.0, 3.0})
        bench.run(30.0 * months, 30, nullptr);
    for (const std::size_t legs : {5U, 15U})
        bench.run(180.0, legs, nullptr);
    for (const std::size_t steps : {125U, 250U, 500U, 1000U})
        bench.many(steps, 45);
    for (const std::size_t levels : {1U, 10U, 200U, 1000U})
        bench.many(1000, levels);
    return 0;
}
