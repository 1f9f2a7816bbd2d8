// Random routes, rocks, cables, bars, tides and streams, for tests of all departures of a season.
#pragma once

#include <cmath>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "dangerline/passage/windows.hpp"
#include "passage/made_hazards.hpp"

namespace random_worlds {

using namespace dangerline;
using namespace dangerline::passage;
using hazard::Grade;
using made_hazards::plane;
using made_hazards::world;

inline constexpr double half_width_m = 50.0;
inline constexpr double kn = mps_per_knot;

inline Track track_through(const std::vector<double>& xs, double speed_mps) {
    Route r;
    r.name = "test";
    for (const double x : xs)
        r.places.push_back(plane().to_position({x, 0.0}));
    r.half_widths_m.assign(xs.size() - 1, half_width_m);
    r.speeds_mps.assign(xs.size() - 1, speed_mps);
    r.shore_start_m = r.shore_end_m = 0.0;
    return Track(r, plane());
}

inline hazard::Hazard at_point(double x, double y) {
    hazard::Hazard h;
    h.object = {"ROCK", "UWTROC", "", "TEST"};
    h.what = "rock";
    h.datum = 23;
    hazard::Step s;
    s.extent = std::make_shared<const geo::Shape>(geo::Shape::of_points({{x, y}}));
    h.steps.push_back(s);
    h.box = s.extent->box();
    return h;
}

inline hazard::Hazard rock(double depth_m, double x, double y = 0.0) {
    hazard::Hazard h = at_point(x, y);
    h.steps[0].depth = Depth::from_metres(depth_m);
    return h;
}

inline hazard::Hazard cable(double clearance_m, double x) {
    hazard::Hazard h = at_point(x, 0.0);
    h.kind = hazard::Kind::overhead;
    h.steps[0].in_force = hazard::InForce::above;
    h.steps[0].clearance_m = clearance_m;
    return h;
}

inline hazard::Hazard overfalls(double x) {
    hazard::Hazard h = at_point(x, 0.0);
    h.kind = hazard::Kind::rough_water;
    h.category = 3;
    h.steps[0].in_force = hazard::InForce::by_stream;
    return h;
}

/// Ground that nobody sounded for a year, across the line from x0 to x1.
inline hazard::Hazard old_bar(double x0, double x1) {
    hazard::Hazard h = at_point(x0, 0.0);
    h.kind = hazard::Kind::no_data;
    h.what = "bar";
    h.old_bar = true;
    h.steps[0].in_force = hazard::InForce::always;
    h.steps[0].decides = Grade::unknown;
    h.steps[0].depth = Depth::never_covered();
    h.steps[0].extent = std::make_shared<const geo::Shape>(geo::Shape::of_lines({{{x0, 0.0}, {x1, 0.0}}}));
    h.box = h.steps[0].extent->box();
    return h;
}

/// Runs along the line from x0 to x1, a few with a gap, each piece with a tide and water of its own.
inline std::vector<TriedRun> random_runs(std::mt19937& random, double x0, double x1) {
    const auto some = [&](double a, double b) { return std::uniform_real_distribution(a, b)(random); };
    std::vector<TriedRun> runs(1 + random() % 2);
    for (auto& run : runs) {
        run.by = "A. Nother";
        const double y = some(-19.0, 19.0), tide = some(1.5, 4.5);
        const double gap = random() % 4 == 0 ? some(x0, x1) : x1 + 1000.0;
        for (double x = x0 - 100.0; x < x1 + 100.0; x += 90.0)
            if (std::abs(x - gap) > 60.0)
                run.pieces.push_back({{{x, y}, {x + 90.0, y}},
                                      some(0.6, 2.0),
                                      random() % 2 == 0,
                                      {{23, tide + some(-0.1, 0.1)}}});
    }
    return runs;
}

/// Turning streams, unknown for one spell.
class Turning : public sea::StreamField {
  public:
    Turning(double rate_mps, double phase, Interval unknown)
        : rate_mps_(rate_mps), phase_(phase), unknown_(unknown) {}
    sea::StreamThere at(geo::Point place, Instant when) const override {
        sea::StreamThere there;
        there.stream = fix(place)(when);
        if (!there.stream)
            there.reason = "test";
        return there;
    }
    sea::PlaceStream fix(geo::Point place) const override {
        return [this, place](Instant t) -> std::optional<sea::Stream> {
            if (t >= unknown_.from && t < unknown_.to)
                return std::nullopt;
            const double turn =
                (t.unix_seconds() - 1.76e9) / 44714.0 * 2.0 * M_PI + phase_ + place.x / 4000.0;
            return sea::Stream{rate_mps_ * std::cos(turn), 0.3 * rate_mps_ * std::sin(turn)};
        };
    }

  private:
    double rate_mps_, phase_;
    Interval unknown_;
};

inline tide::Curve random_tide(std::mt19937& random, Instant from, Instant to) {
    const auto some = [&](double a, double b) { return std::uniform_real_distribution(a, b)(random); };
    const double day_s = 86400.0;
    tide::Piece piece{from - day_s, 600.0, {}, {}};
    const double a = some(0.2, 2.5), b = some(0.0, 0.8), p = some(0.0, 6.0), q = some(0.0, 6.0);
    for (double t = 0.0; t <= to - from + 3.0 * day_s; t += 600.0) {
        const double u = 2.0 * M_PI / 44714.0, v = 2.0 * M_PI / 43200.0;
        piece.height_m.push_back(3.0 + a * std::cos(u * t + p) + b * std::cos(v * t + q));
        piece.rate_mps.push_back(-a * u * std::sin(u * t + p) - b * v * std::sin(v * t + q));
    }
    return tide::Curve::from_pieces({piece}, "test");
}

struct World {
    Track track;
    hazard::Hazards hazards;
    Conditions conditions;
    Voyage::Settings settings;
    std::shared_ptr<const Turning> streams;
    Interval departures;

    VoyageMaker voyages() const {
        return [this](const Track& t, double share, const Interval&) {
            Voyage::Settings s = settings;
            s.speed_factor = share;
            return Voyage(t, s);
        };
    }
    bool closed(const Voyage& voyage, Instant d) const {
        return check(track, Timetable(voyage, d), hazards, conditions).worst >= Grade::unknown;
    }
};

inline World random_world(unsigned seed) {
    std::mt19937 random(seed);
    const auto some = [&](double a, double b) { return std::uniform_real_distribution(a, b)(random); };
    const auto one_in = [&](unsigned n) { return random() % n == 0; };
    // New Year and both changes of the clocks among the seasons.
    const CalendarDay days[] = {{2026, 3, 28}, {2026, 10, 24}, {2026, 12, 31}, {2026, 6, 16}};
    const Instant from = start_of(days[seed % 4]) + 3600.0 * some(0.0, 12.0);
    const double speed = some(1.5, 6.0);
    std::vector<double> xs{-3000.0, some(-2000.0, 2000.0), 3000.0};
    if (one_in(3))
        xs.insert(xs.end(), {xs[1], xs[0]}); // and back
    World w{track_through(xs, speed), {}, {}, {}, {}, {from, from + 86400.0}};
    std::vector<hazard::Hazard> all;
    for (auto n = 1 + random() % 5; n > 0; --n)
        all.push_back(rock(some(-2.5, 1.0), some(-2900.0, 2900.0), some(-49.9, 49.9)));
    if (one_in(3))
        all.push_back(cable(some(6.0, 9.0), some(-2900.0, 2900.0)));
    w.conditions.boat.air_draught_m = 3.0;
    w.conditions.required = Water::from_metres(1.4);
    const auto tide = random_tide(random, from, from + 86400.0);
    w.conditions.tides = Tides::one(tide, {23, {}});
    if (one_in(2)) { // a level that the tide only just reaches
        const auto low = tide.lowest(from, from + 86400.0)->height.metres();
        all.push_back(rock(1.4 - low - std::pow(10.0, some(-7.0, -2.0)), some(-2900.0, 2900.0)));
    }
    if (one_in(2)) {
        const double begin = some(0.0, 200'000.0);
        const Interval blind{from + begin, from + begin + (one_in(2) ? some(0.0, 9000.0) : 0.0)};
        w.streams = std::make_shared<const Turning>(some(0.1, 0.9) * speed, some(0.0, 6.0), blind);
        w.settings.streams = w.streams.get();
        if (one_in(2))
            all.push_back(overfalls(some(-2900.0, 2900.0)));
        if (one_in(2))
            w.conditions.wind_from_deg = some(0.0, 360.0);
        w.conditions.sea.wind_mps = some(0.0, 8.0);
        w.conditions.sea.swell_m = 0.1;
    }
    w.settings.from = from - 7200.0;
    w.settings.to = from + 3.0 * 86400.0;
    if (one_in(2)) {
        Wait wait{1, some(0.0, 7200.0), {}};
        if (one_in(2))
            for (double t = 0.0; t < 4.0; t += 1.0)
                wait.until.push_back(start_of(day_of(from)) + 86400.0 * t + 3600.0 * 10.0);
        w.settings.waits.push_back(wait);
    }
    if (one_in(3)) { // last, so that the other worlds stay as they are
        const double x0 = some(-2900.0, 2000.0), x1 = x0 + some(10.0, 900.0);
        all.push_back(old_bar(x0, x1));
        w.conditions.boat.draught_m = 0.6;
        w.conditions.tried =
            std::make_shared<const std::vector<TriedRun>>(random_runs(random, x0 - 80.0, x1 + 80.0));
    }
    w.hazards = world(std::move(all));
    return w;
}

inline Season season_of(const World& w) {
    return season(w.track, w.voyages(), w.hazards, w.conditions, {.departures = w.departures});
}

} // namespace random_worlds
