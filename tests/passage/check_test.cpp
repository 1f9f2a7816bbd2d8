#include <gtest/gtest.h>

#include <random>

#include <set>

#include "dangerline/base/error.hpp"
#include "dangerline/passage/check.hpp"
#include "passage/made_hazards.hpp"

using namespace dangerline;
using namespace dangerline::passage;
using hazard::Cause;
using hazard::Grade;

namespace {

using made_hazards::plane;
using made_hazards::world;

Route route(double half_width = 50.0) {
    const geo::Position a = plane().to_position({-3000.0, 0.0}), b = plane().to_position({3000.0, 0.0});
    return {"test", "", {a, b}, {}, {half_width}, {6.0 * mps_per_knot}, 0.0, 0.0};
}

hazard::Hazard rock(Depth depth, geo::Point at, int catzoc = 3) {
    hazard::Hazard h;
    h.object = {"0000000000000001", "UWTROC", "", "TEST"};
    h.what = "rock";
    h.datum = 23;
    h.allowance = survey::allowance_for({.scale = 10000,
                                         .quapos = {},
                                         .posacc_m = {},
                                         .souacc_m = {},
                                         .catzoc = catzoc,
                                         .depth_m = depth.metres()});
    hazard::Step s;
    s.depth = depth;
    s.extent = std::make_shared<const geo::Shape>(geo::Shape::of_points({at}));
    h.steps.push_back(s);
    h.box = s.extent->box();
    return h;
}

/// Required 1.4 m, tide doubt 0.3 m, no doubt of time.
Conditions conditions(double tide_m, double required_m = 1.4) {
    return {{},
            Water::from_metres(required_m),
            {0.3, 0.0, 0.0},
            Tides::one(tide::Curve::fixed(TideHeight::from_metres(tide_m), ""), {23, {}}),
            {}};
}

Check run(const hazard::Hazards& w, const Conditions& c, const Route& r) {
    const Track track(r, plane());
    return check(track, Timetable(track, Instant::from_unix_seconds(1.78e9)), w, c);
}

} // namespace

// A rock that dries 1.2 m: required 1.4 m, so critical tide 2.6 m; tide doubt 0.3 m, survey doubt 1.0 m
// (CATZOC B).
TEST(Check, rock_is_danger_then_margin_then_survey_then_nothing) {
    const auto w = world({rock(Depth::from_metres(-1.2), {0.0, 20.0})});
    const auto worst = [&](double tide_m) {
        const Check c = run(w, conditions(tide_m), route());
        return c.findings.empty() ? std::pair{Grade::none_found, Cause::none}
                                  : std::pair{c.findings.front().grade, c.findings.front().cause};
    };
    EXPECT_EQ(worst(2.59), (std::pair{Grade::danger, Cause::none}));
    EXPECT_EQ(worst(2.60), (std::pair{Grade::caution, Cause::margin}));
    EXPECT_EQ(worst(2.89), (std::pair{Grade::caution, Cause::margin}));
    EXPECT_EQ(worst(2.90 + 1e-9), (std::pair{Grade::caution, Cause::survey}));
    EXPECT_EQ(worst(3.64), (std::pair{Grade::caution, Cause::survey}));
    EXPECT_EQ(worst(3.65), (std::pair{Grade::none_found, Cause::none}));
}

TEST(Check, rock_of_unknown_height_is_danger_at_every_tide) {
    const auto w = world({rock(Depth::never_covered(), {0.0, 20.0})});
    for (const double tide_m : {0.0, 5.6, 9.0})
        EXPECT_EQ(run(w, conditions(tide_m), route()).worst, Grade::danger);
}

// Chart datum 2.9 m below land datum: 1.0 above land datum is 3.9 above chart datum. The mirror: 2.9 m above
// gives -1.9, where a slip of sign would find nothing.
TEST(Check, datum_link_counts_the_right_way) {
    auto c = conditions(1.0);
    c.tides.stations[0].datums = {3, {{23, 2.9}}};
    const auto below = run(world({rock(Depth::from_metres(-2.8), {0.0, 0.0})}), c, route());
    EXPECT_EQ(below.worst, Grade::danger);
    EXPECT_NEAR(*below.findings.front().tide_m, 3.9, 1e-9);
    c.tides.stations[0].datums = {3, {{23, -2.9}}};
    const auto above = run(world({rock(Depth::from_metres(2.0), {0.0, 0.0})}), c, route());
    EXPECT_EQ(above.worst, Grade::danger);
    EXPECT_NEAR(*above.findings.front().water_m, 0.1, 1e-9);
    c.tides.stations[0].datums = {3, {}};
    EXPECT_THROW(run(world({rock(Depth::from_metres(2.0), {0.0, 0.0})}), c, route()), Failure);
}

TEST(Check, outside_the_corridor_is_position_then_nothing) {
    const auto grade = [](double away) {
        const auto c = run(world({rock(Depth::from_metres(-1.2), {0.0, away})}), conditions(1.0), route());
        return c.findings.empty() ? Cause::none : c.findings.front().cause;
    };
    EXPECT_EQ(grade(60.0), Cause::position); // 50 m corridor and 50 m position
    EXPECT_EQ(grade(110.0), Cause::none);
}

// Falling 1.3 m an hour, 2.35 m on the bar at the boat's time, critical tide 2.00: 0.35 m to spare, doubt
// sqrt(0.3^2 + (1.3 x 0.25)^2) = 0.442 m.
TEST(Check, doubt_of_tide_time_counts) {
    const Track track(route(), plane());
    const Instant start = Instant::from_unix_seconds(1.78e9);
    const Timetable timetable(track, start);
    const auto w = world({rock(Depth::from_metres(-0.6), {0.0, 49.0}, 3)}); // in reach for seconds only
    const Instant there = timetable.at(track.length() / 2.0);
    const double fall = -1.3 / 3600.0;
    tide::Piece piece{start - 7200.0, 14400.0, {}, {}};
    for (const double t : {0.0, 14400.0}) {
        piece.height_m.push_back(2.35 + fall * ((piece.start + t) - there));
        piece.rate_mps.push_back(fall);
    }
    auto c = conditions(0.0);
    c.tides.stations[0].prediction.curve = tide::Curve::from_pieces({piece}, "falling");
    c.doubts.tide_time_s = 900.0;
    const auto with = check(track, timetable, w, c);
    ASSERT_FALSE(with.findings.empty());
    EXPECT_EQ(with.findings.front().cause, Cause::margin);
    EXPECT_NEAR(*with.findings.front().spare_m, 0.35, 0.02);
    c.doubts.tide_time_s = 0.0;
    EXPECT_EQ(check(track, timetable, w, c).findings.front().cause, Cause::survey);
}

TEST(Check, time_outside_the_tide_is_unknown) {
    const Track track(route(), plane());
    const Instant start = Instant::from_unix_seconds(1.78e9);
    auto c = conditions(0.0);
    c.tides.stations[0].prediction.curve =
        tide::Curve::from_pieces({{start - 3600.0, 600.0, {3.0, 3.0}, {0.0, 0.0}}}, "ended");
    const auto result =
        check(track, Timetable(track, start), world({rock(Depth::from_metres(5.0), {0.0, 0.0})}), c);
    EXPECT_EQ(result.worst, Grade::unknown);
    EXPECT_NEAR(result.findings.front().length_m, track.length(), 1e-6);
}

TEST(Check, properties_on_random_rocks) {
    std::mt19937 random(7);
    std::uniform_real_distribution<double> x(-3200.0, 3200.0), y(-120.0, 120.0), depth(-3.0, 3.0);
    using Names = std::set<std::string>;
    const auto names = [](const Check& c, Grade least) {
        Names found;
        for (const auto& f : c.findings)
            if (f.grade >= least)
                found.insert(f.object.lnam);
        return found;
    };
    const auto holds = [](const Names& all, const Names& some) {
        return std::includes(all.begin(), all.end(), some.begin(), some.end());
    };
    std::size_t dangers = 0;
    for (int round = 0; round < 40; ++round) {
        std::vector<hazard::Hazard> rocks;
        for (int i = 0; i < 12; ++i) {
            rocks.push_back(rock(Depth::from_metres(depth(random)), {x(random), y(random)}));
            rocks.back().object.lnam = std::to_string(i);
        }
        auto more = rocks; // one hazard added at the end
        more.push_back(rock(Depth::from_metres(depth(random)), {x(random), y(random)}));
        more.back().object.lnam = "added";
        const auto w = world(std::move(rocks)), with_more = world(std::move(more));
        const Check base = run(w, conditions(1.5), route());
        const Names danger = names(base, Grade::danger), any = names(base, Grade::caution);
        dangers += danger.size();
        EXPECT_TRUE(holds(danger, names(run(w, conditions(1.9), route()), Grade::danger))); // more water
        EXPECT_TRUE(
            holds(names(run(w, conditions(1.5, 1.8), route()), Grade::danger), danger)); // deeper draught
        EXPECT_TRUE(
            holds(names(run(w, conditions(1.5), route(70.0)), Grade::danger), danger)); // wider corridor
        EXPECT_TRUE(holds(names(run(w, conditions(1.5), route(70.0)), Grade::caution), any));
        const Check added = run(with_more, conditions(1.5), route());
        EXPECT_TRUE(holds(names(added, Grade::danger), danger));
        EXPECT_TRUE(holds(names(added, Grade::caution), any));
        Route back = route();
        std::swap(back.places[0], back.places[1]);
        EXPECT_EQ(names(run(w, conditions(1.5), back), Grade::danger), danger);
        EXPECT_EQ(names(run(w, conditions(1.5), back), Grade::caution), any);
        double at = 0.0;
        for (const auto& stretch : base.stretches) {
            EXPECT_DOUBLE_EQ(stretch.span.from, at);
            EXPECT_LT(stretch.span.from, stretch.span.to);
            at = stretch.span.to;
        }
        EXPECT_NEAR(at, Track(route(), plane()).length(), 1e-9);
    }
    EXPECT_GT(dangers, 40U); // or the sets above say nothing
}
