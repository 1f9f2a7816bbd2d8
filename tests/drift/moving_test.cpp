// A bank whose bottom moves: the boat enters its zone where it may lie by now, and touches it where charted.
#include "dangerline/drift/outcomes.hpp"

#include <gtest/gtest.h>

#include "drift/worlds.hpp"

using namespace dangerline;
using namespace dangerline::drift;
using namespace dangerline::drift::worlds;

namespace {

std::vector<std::vector<geo::Point>> square(double west, double south, double east, double north) {
    return {{{west, south}, {east, south}, {east, north}, {west, north}}};
}

/// A bank of 2 km, drying 0.5 m all over, and all its eastern half in a bottom that moved by `moved_m`.
hazard::Hazard& bank(Scene& scene, double moved_m, double position_m = 20.0) {
    hazard::Step step;
    step.depth = Depth::from_metres(-0.5);
    auto& h =
        scene.add(hazard::Kind::depth, geo::Shape::of_area(square(-1000, 0, 1000, 500)), step, position_m);
    h.between = true;
    hazard::Step moving;
    moving.decides = hazard::Grade::caution;
    moving.cause = hazard::Cause::survey;
    moving.depth = Depth::from_metres(-0.5);
    moving.moved_m = moved_m;
    moving.extent = std::make_shared<const geo::Shape>(geo::Shape::of_area(square(0, 0, 1000, 500)));
    if (moved_m > 0.0)
        h.steps.push_back(std::move(moving));
    return h;
}

/// Boats set north at 1 m/s for an hour from 1 km south of the bank, without wind.
struct Northward {
    StreamGrid water = steady(0.0, 1.0);
    sea::Wind wind = sea::Wind::steady(0.0, 0.0, "none");
    TideLine tide;
    Adrift adrift;
    explicit Northward(double x, double tide_m = 1.0) : tide(level(tide_m)) {
        adrift.begin = noon;
        adrift.lasts_s = 3600.0;
        adrift.start = {x, -1000.0};
        adrift.water = &water;
        adrift.wind = &wind;
        adrift.tide = &tide;
    }
    Northward(const Northward&) = delete;
};

Fate northward(const Scene& scene, double x, double tide_m = 1.0) {
    const Northward boat(x, tide_m);
    const auto dangers = scene.dangers(tide_m, tide_m);
    EnsembleSettings settings{.particles = 1, .errors = Errors::none()};
    const auto fate = run(boat.adrift, dangers, settings).fates[0];
    settings.exact_by_all = true;
    EXPECT_EQ(fate.zone_s, run(boat.adrift, dangers, settings).fates[0].zone_s);
    return fate;
}

} // namespace

TEST(DriftMoving, zone_is_wider_by_the_movement) {
    Scene charted, moved;
    bank(charted, 0.0);
    bank(moved, 300.0);
    EXPECT_NEAR(northward(charted, 700.0).zone_s, 980.0f, 1.0f);
    EXPECT_NEAR(northward(moved, 700.0).zone_s, 680.0f, 1.0f); // 1000 - 20 of position - 300
    // Where the bottom stays, and farther off than it may have come, nothing changes.
    EXPECT_NEAR(northward(moved, -700.0).zone_s, 980.0f, 1.0f);
    EXPECT_NEAR(northward(moved, -330.0).zone_s, 980.0f, 1.0f);
    EXPECT_LT(northward(moved, -200.0).zone_s, 900.0f);
}

// Only where the zone met is that of a part that moves is it wider, and so much.
TEST(DriftMoving, says_the_movement_of_what_was_met) {
    Scene scene;
    bank(scene, 300.0);
    const auto moved_where = [&](double x) {
        const Northward boats(x);
        const auto dangers = scene.dangers(1.0, 1.0);
        const auto s = summarise(run(boats.adrift, dangers, {.particles = 40, .errors = Errors::none()}),
                                 boats.adrift, dangers);
        EXPECT_EQ(s.outcomes.at(0).moved_m, s.soonest_moved_m);
        EXPECT_EQ(s.clusters.at(0).moved_m, s.soonest_moved_m);
        return s.soonest_moved_m;
    };
    EXPECT_EQ(moved_where(700.0), 300.0);
    EXPECT_EQ(moved_where(-700.0), 0.0) << "its other half moves, 700 m off";
}

TEST(DriftMoving, touching_stays_where_it_is_charted) {
    Scene charted, moved;
    bank(charted, 0.0);
    bank(moved, 300.0);
    EXPECT_NEAR(northward(moved, 700.0).touch_s, 1000.0f, 1.0f);
    EXPECT_EQ(northward(moved, 700.0).touch_s, northward(charted, 700.0).touch_s);
    EXPECT_EQ(northward(moved, 1200.0).touch_s, not_reached);
    EXPECT_NE(northward(moved, 1200.0).zone_s, not_reached);
}

TEST(DriftMoving, as_deep_as_its_steps) {
    Scene moved;
    bank(moved, 300.0);
    EXPECT_EQ(northward(moved, 700.0, 5.0).zone_s, not_reached) << "4.5 m over it, 1.4 required";
}

TEST(DriftMoving, sounding) {
    Scene scene;
    auto& h = scene.rock({0.0, 0.0}, -0.5, 20.0);
    h.between = true;
    h.steps[0].moved_m = 250.0;
    EXPECT_NEAR(northward(scene, 0.0).zone_s, 730.0f, 1.0f);
    EXPECT_NEAR(northward(scene, 0.0).touch_s, 1000.0f, 1.0f);
}

// Bounds of the distance to a zone so wide that only its outline is laid.
TEST(DriftMoving, bounds_of_a_wide_zone) {
    Scene scene;
    bank(scene, 2500.0);
    scene.rock({-9000.0, -6000.0}, -1.0, 1200.0);
    const auto dangers = scene.dangers(0.0, 1.0);
    const auto& bounds = dangers.bounds_at(0.5);
    double most = 0.0;
    for (double x = -15'000.0; x < 15'000.0; x += 173.0)
        for (double y = -15'000.0; y < 15'000.0; y += 191.0) {
            const double distance = dangers.nearest_zone({x, y}, 0.5);
            const auto cell_of = [](double metres) {
                return static_cast<std::int32_t>(metres / Dangers::cell_m);
            };
            const double bound = bounds.zone_m(cell_of(x - twenty_km.min_x), cell_of(y - twenty_km.min_y));
            EXPECT_LE(bound, distance) << x << " " << y;
            if (bound < 400.0) // more than 500 m are not told apart
                most = std::max(most, distance - bound);
        }
    EXPECT_LT(most, 3.0 * Dangers::cell_m) << "bounds that say nothing";
}
