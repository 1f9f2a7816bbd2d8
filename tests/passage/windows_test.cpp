// Departures of a season by calculation against trying them, in random worlds and worked scenes.
#include "dangerline/passage/windows.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>
#include <string>

#include "passage/random_world.hpp"

using namespace random_worlds;

namespace {

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
    int tried = 0, edges = 0, closed_worlds = 0, open_worlds = 0, bars_crossed = 0, bars_closed = 0;
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
        if (w.hazards.all.back().old_bar) {
            bars_crossed += !s.open.empty();
            for (const auto& c : s.closed)
                bars_closed += s.reasons[c.begins].what == "bar" && c.when.length_s() < 86399.0;
        }
        closed_worlds += s.open.empty();
        open_worlds += s.closed.empty();
        if (HasFailure())
            break;
    }
    EXPECT_GT(tried, 20'000);
    EXPECT_GT(edges, 500);
    EXPECT_LT(closed_worlds + open_worlds, 200);
    EXPECT_GT(bars_crossed, 10);
    EXPECT_GT(bars_closed, 10);
}

// Every 5 s by a test that shares no code with it but the tide and the timetable.
TEST(Windows, AgreeWithStepping) {
    int tried = 0;
    for (unsigned seed = 1; seed <= 300; seed += 5) {
        SCOPED_TRACE(seed);
        World w = random_world(seed);
        w.streams.reset();
        w.settings.streams = nullptr;
        std::erase_if(w.hazards.all, [](const auto& h) {
            return h.kind == hazard::Kind::rough_water || h.kind == hazard::Kind::no_data;
        });
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
