// Departures of a season by calculation against trying them, in random worlds and worked scenes.
#include "dangerline/passage/windows.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <string>

#include "dangerline/tide/constituents.hpp"

using namespace dangerline;
using namespace dangerline::passage;
using hazard::Grade;

namespace {

constexpr double half_width_m = 50.0;
constexpr double kn = mps_per_knot;

const geo::Plane& plane() {
    static const geo::Plane p(geo::Position{-28.0, 46.0});
    return p;
}

Track track_through(const std::vector<double>& xs, double speed_mps) {
    Route r;
    r.name = "test";
    for (const double x : xs)
        r.places.push_back(plane().to_position({x, 0.0}));
    r.half_widths_m.assign(xs.size() - 1, half_width_m);
    r.speeds_mps.assign(xs.size() - 1, speed_mps);
    r.shore_start_m = r.shore_end_m = 0.0;
    return Track(r, plane());
}

hazard::Hazard at_point(double x, double y) {
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

hazard::Hazard rock(double depth_m, double x, double y = 0.0) {
    hazard::Hazard h = at_point(x, y);
    h.steps[0].depth = Depth::from_metres(depth_m);
    return h;
}

hazard::Hazard cable(double clearance_m, double x) {
    hazard::Hazard h = at_point(x, 0.0);
    h.kind = hazard::Kind::overhead;
    h.steps[0].in_force = hazard::InForce::above;
    h.steps[0].clearance_m = clearance_m;
    return h;
}

hazard::Hazard overfalls(double x) {
    hazard::Hazard h = at_point(x, 0.0);
    h.kind = hazard::Kind::rough_water;
    h.category = 3;
    h.steps[0].in_force = hazard::InForce::by_stream;
    return h;
}

hazard::Hazards world(std::vector<hazard::Hazard> all) {
    hazard::Hazards w;
    w.cells.push_back({"TEST", 1, 0, "20260101", 10000, 23, {}});
    w.all = std::move(all);
    std::vector<geo::Box> boxes;
    for (const auto& h : w.all)
        boxes.push_back(h.box);
    w.index = std::make_shared<const geo::BoxIndex>(boxes);
    return w;
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

tide::Curve random_tide(std::mt19937& random, Instant from, Instant to) {
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

World random_world(unsigned seed) {
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
    w.hazards = world(std::move(all));
    return w;
}

Season season_of(const World& w) {
    return season(w.track, w.voyages(), w.hazards, w.conditions, {.departures = w.departures});
}

/// For a failure: the closed span around d and its reasons.
std::string explain(const Season& s, Instant d) {
    std::string words;
    for (const auto& c : s.closed)
        if (c.when.from <= d && d < c.when.to)
            for (const auto n : {c.begins, c.ends, c.most})
                words += "; " + std::to_string(c.when.from - s.asked.from) + " to " +
                         std::to_string(c.when.to - s.asked.from) + " " + s.reasons[n].what + " " +
                         std::to_string(s.reasons[n].span.from);
    return words;
}

/// Rocks and cables alone, by the plainest means: own geometry, lowest tide between entry and exit.
bool closed_by_water(const World& w, const Timetable& times) {
    const auto& curve = w.conditions.tides.stations[0].prediction.curve;
    for (const auto& h : w.hazards.all) {
        const geo::Point p = h.steps[0].extent->points()[0];
        const double reach = std::sqrt(half_width_m * half_width_m - p.y * p.y);
        for (const auto& chord : w.track.chords()) {
            // A chord lies along the axis but for centimetres of its bend.
            const double x0 = chord.leg.from.x, x1 = chord.leg.to.x, sign = x1 > x0 ? 1.0 : -1.0;
            const double a = sign * (p.x - x0) - reach, b = sign * (p.x - x0) + reach;
            const double scale = (chord.to - chord.from) / chord.leg.length();
            const double from = std::max(a, 0.0), to = std::min(b, chord.leg.length());
            if (from > to)
                continue;
            const Instant enter = times.at(chord.from + from * scale);
            const Instant leave = times.leave(chord.from + to * scale);
            if (h.steps[0].in_force == hazard::InForce::below &&
                curve.lowest(enter, leave)->height.metres() + h.steps[0].depth.metres() < 1.4)
                return true;
            if (h.steps[0].in_force == hazard::InForce::above &&
                h.steps[0].clearance_m - curve.highest(enter, leave)->height.metres() < 3.5)
                return true;
        }
    }
    return false;
}

} // namespace

// The check itself at, before and after every edge, every 20 min, and where the boat meets low water on a
// rock.
TEST(Windows, AgreeWithTheCheckInRandomWorlds) {
    int tried = 0, edges = 0, closed_worlds = 0, open_worlds = 0;
    for (unsigned seed = 1; seed <= 300; ++seed) {
        SCOPED_TRACE(seed);
        const World w = random_world(seed);
        const Season s = season_of(w);
        const Voyage voyage = w.voyages()(w.track, 1.0, w.departures);
        std::vector<Instant> instants;
        for (double t = 0.0; t < 86400.0; t += 1200.0)
            instants.push_back(w.departures.from + t + 0.123);
        for (const auto& c : s.closed) {
            for (const Instant edge : {c.when.from, c.when.to})
                for (const double off : {-0.5, 0.5})
                    instants.push_back(edge + off);
            instants.push_back(c.when.from + 0.5 * c.when.length_s());
            edges += 2;
        }
        const auto& curve = w.conditions.tides.stations[0].prediction.curve;
        for (const auto& turn : curve.extremes(w.departures.from, w.departures.to + 86400.0))
            for (const auto& h : w.hazards.all)
                instants.push_back(voyage.departure_reaching(h.box.min_x + 3000.0, turn.at));
        for (const Instant d : instants) {
            if (!(d >= w.departures.from && d < w.departures.to))
                continue;
            // Two edges may lie closer than half a second.
            if (s.open.shrunk(0.4, 0.4).contains(d) ||
                s.open.complement(w.departures).shrunk(0.4, 0.4).contains(d)) {
                EXPECT_EQ(!s.open.contains(d), w.closed(voyage, d)) << d - w.departures.from << explain(s, d);
                ++tried;
            }
        }
        closed_worlds += s.open.empty();
        open_worlds += s.closed.empty();
        if (HasFailure())
            break;
    }
    EXPECT_GT(tried, 20'000);
    EXPECT_GT(edges, 500);
    EXPECT_LT(closed_worlds + open_worlds, 200);
}

// Every 5 s by a test that shares no code with it but the tide and the timetable.
TEST(Windows, AgreeWithStepping) {
    int tried = 0;
    for (unsigned seed = 1; seed <= 300; seed += 5) {
        SCOPED_TRACE(seed);
        World w = random_world(seed);
        w.streams.reset();
        w.settings.streams = nullptr;
        std::erase_if(w.hazards.all, [](const auto& h) { return h.kind == hazard::Kind::rough_water; });
        w.hazards = world(w.hazards.all);
        const Season s = season_of(w);
        const Voyage voyage = w.voyages()(w.track, 1.0, w.departures);
        const TimeSet sure = s.open.shrunk(0.5, 0.5).united(s.open.complement(w.departures).shrunk(0.5, 0.5));
        for (double t = 2.0; t < 86400.0; t += 5.0) {
            const Instant d = w.departures.from + t;
            if (!sure.contains(d))
                continue;
            ASSERT_EQ(!s.open.contains(d), closed_by_water(w, Timetable(voyage, d))) << t;
            ++tried;
        }
    }
    EXPECT_GT(tried, 1'000'000);
}

// Low from 12:00 to 15:00; met 30 to 32 min after departure on the way out and, after a wait of 3 h, 268 to
// 270 min after it on the way back: worked by hand.
TEST(Windows, CloseTwiceForThereAndBack) {
    const double speed = 6.0 * kn, mile = metres_per_nautical_mile;
    const double s1 = 3.0 * mile, s2 = 3.2 * mile, length = 6.0 * mile;
    // Rocks so close that the corridor meets them without a break.
    const double x1 = s1 + half_width_m, x2 = s2 - half_width_m;
    std::vector<hazard::Hazard> all;
    for (int i = 0; i <= 4; ++i)
        all.push_back(rock(0.4, x1 + (x2 - x1) * i / 4.0));
    const hazard::Hazards w = world(std::move(all));
    Conditions conditions;
    conditions.required = Water::from_metres(1.4);
    const Instant day = start_of({2026, 6, 16});
    std::vector<tide::Piece> pieces;
    const auto level = [&](double from_h, double to_h, double metres) {
        pieces.push_back({day + from_h * 3600.0, (to_h - from_h) * 3600.0, {metres, metres}, {0.0, 0.0}});
    };
    level(-24.0, 12.0, 2.0);
    level(12.0, 15.0, 0.5);
    level(15.0, 72.0, 2.0);
    conditions.tides = Tides::one(tide::Curve::from_pieces(pieces, "steps"), {23, {}});
    Route r;
    r.name = "there and back";
    for (const double x : {0.0, length, 0.0})
        r.places.push_back(plane().to_position({x, 0.0}));
    r.half_widths_m.assign(2, half_width_m);
    r.speeds_mps.assign(2, speed);
    r.shore_start_m = r.shore_end_m = 0.0;
    const Track track(r, plane());
    const VoyageMaker voyages = [](const Track& t, double share, const Interval&) {
        Voyage::Settings s;
        s.speed_factor = share;
        s.waits = {{1, 3.0 * 3600.0, {}}};
        return Voyage(t, s);
    };
    const Season s = season(track, voyages, w, conditions, {.departures = {day, day + 86400.0}});
    ASSERT_EQ(s.closed.size(), 2U);
    const auto minute = [&](Instant t) { return (t - day) / 60.0; };
    EXPECT_NEAR(minute(s.closed[0].when.from), 7 * 60 + 30, 0.2);
    EXPECT_NEAR(minute(s.closed[0].when.to), 10 * 60 + 32, 0.2);
    EXPECT_NEAR(minute(s.closed[1].when.from), 11 * 60 + 28, 0.2);
    EXPECT_NEAR(minute(s.closed[1].when.to), 14 * 60 + 30, 0.2);
    EXPECT_TRUE(s.open.contains(day + 11.0 * 3600.0));
}

// Every departure of an offered window survives early and late, full and reduced speed, with the tide's
// doubt.
TEST(Windows, OfferOnlyWhatSurvives) {
    int windows = 0, tried = 0;
    for (unsigned seed = 1; seed <= 200; ++seed) {
        SCOPED_TRACE(seed);
        const World w = random_world(seed);
        const Season s = season_of(w);
        Conditions lower = w.conditions;
        lower.tides.stations[0].prediction.curve = [&] {
            const auto& curve = w.conditions.tides.stations[0].prediction.curve;
            auto piece = curve.pieces()[0];
            for (auto& h : piece.height_m)
                h -= w.conditions.doubts.tide_height_m;
            return tide::Curve::from_pieces({piece}, "lower");
        }();
        const bool overhead = std::any_of(w.hazards.all.begin(), w.hazards.all.end(),
                                          [](const auto& h) { return h.kind == hazard::Kind::overhead; });
        for (const auto& window : s.windows) {
            ++windows;
            EXPECT_GE(window.when.length_s(), 1800.0);
            EXPECT_TRUE(window.exact.from <= window.when.from && window.when.to <= window.exact.to);
            EXPECT_EQ(std::fmod(window.when.from.unix_seconds(), 300.0), 0.0);
            for (const double share : {1.0, 0.8}) {
                const Voyage voyage = w.voyages()(w.track, share, w.departures);
                for (const double part : {0.0, 0.3, 0.7, 1.0})
                    for (const double off : {-599.0, 0.0, 1799.0}) {
                        const Timetable times(voyage, window.when.from + part * window.when.length_s() + off);
                        EXPECT_LT(check(w.track, times, w.hazards, w.conditions).worst, Grade::unknown);
                        if (!overhead) { // more water under it would be the doubt of a cable
                            EXPECT_LT(check(w.track, times, w.hazards, lower).worst, Grade::unknown);
                        }
                        ++tried;
                    }
            }
        }
        if (HasFailure())
            break;
    }
    EXPECT_GT(windows, 50);
    EXPECT_GT(tried, 1000);
}
