// Whatever is missing ends a drift as unknown, never as afloat.
#include "dangerline/drift/ensemble.hpp"

#include <gtest/gtest.h>

#include "drift/worlds.hpp"

using namespace dangerline;
using namespace dangerline::drift;
using namespace dangerline::drift::worlds;

namespace {

struct Case {
    Scene scene;
    StreamGrid water = steady(90.0, 1.0);
    sea::Wind wind = sea::Wind::steady(0.0, 0.0, "none");
    TideLine tide = level(3.0);

    Fate go(double hours = 2.0) const {
        Adrift a;
        a.begin = noon;
        a.lasts_s = hours * 3600.0;
        a.water = &water;
        a.wind = &wind;
        a.tide = &tide;
        return run(a, scene.dangers(), {.particles = 1, .errors = Errors::none()}).fates[0];
    }
};

} // namespace

TEST(DriftUnknown, stream_by_place) {
    Case s;
    s.water = grid_of(
        [](geo::Point p, double) {
            return p.x > 3000.0 ? std::nullopt : std::optional(sea::Stream{1.0, 0.0});
        },
        3.0);
    const auto fate = s.go();
    EXPECT_EQ(fate.end, End::stream_unknown);
    EXPECT_LE(fate.end_at.x, 3100.0);
    EXPECT_GE(fate.end_at.x, 2900.0); // between the last known node and the first unknown one at the latest
    EXPECT_EQ(fate.trouble_s(), fate.end_s);
}

TEST(DriftUnknown, stream_by_time) {
    Case s;
    s.water = grid_of(
        [](geo::Point, double t) {
            return t > 1800.0 ? std::nullopt : std::optional(sea::Stream{1.0, 0.0});
        },
        3.0);
    EXPECT_EQ(s.go().end, End::stream_unknown);
    EXPECT_LE(s.go().end_s, 1860.0f);
    s.water = {sea::stream_of(90.0, 1.0), plane(), twenty_km, noon - 3600.0, noon + 600.0};
    EXPECT_EQ(s.go(3.0).end, End::stream_unknown) << "the data end";
}

TEST(DriftUnknown, tide) {
    Case s;
    s.tide = {[](Instant t) { return t - noon > 1800.0 ? std::nullopt : std::optional(3.0); }, noon - 3600.0,
              noon + 7200.0};
    EXPECT_EQ(s.go().end, End::tide_unknown);
    EXPECT_LE(s.go().end_s, 1860.0f);
    s.tide = {[](Instant) { return std::nullopt; }, noon - 3600.0, noon + 7200.0};
    EXPECT_EQ(s.go().end, End::tide_unknown);
    EXPECT_EQ(s.go().end_s, 0.0f);
}

TEST(DriftUnknown, wind) {
    Case s;
    s.wind = sea::Wind::series({{noon - 600.0, {}}, {noon + 3000.0, {}}}, "made");
    EXPECT_EQ(s.go().end, End::wind_unknown);
    EXPECT_NEAR(s.go().end_s, 3000.0f, 60.0f);
}

TEST(DriftUnknown, edge_of_what_was_looked_at) {
    Case s;
    s.water = steady(90.0, 4.0);
    const auto fate = s.go();
    EXPECT_EQ(fate.end, End::left_area);
    EXPECT_NEAR(fate.end_at.x, 20'000.0, 500.0);
}

TEST(DriftUnknown, water_nobody_charted) {
    Case s;
    hazard::Step step;
    step.in_force = hazard::InForce::always;
    step.decides = hazard::Grade::unknown;
    s.scene.add(hazard::Kind::no_data,
                geo::Shape::of_area({{{1000, -500}, {2000, -500}, {2000, 500}, {1000, 500}}}), step, 50.0);
    const auto fate = s.go();
    EXPECT_EQ(fate.end, End::unknown_water);
    EXPECT_NEAR(fate.end_s, 950.0f, 1.0f);
    EXPECT_EQ(fate.zone, no_obstacle);
}

// A bar nobody sounded for a year is of kind survey, and unknown all the same.
TEST(DriftUnknown, bar_nobody_vouches_for) {
    Case s;
    hazard::Step step;
    step.in_force = hazard::InForce::always;
    step.decides = hazard::Grade::unknown;
    s.scene.add(hazard::Kind::survey,
                geo::Shape::of_area({{{1000, -500}, {2000, -500}, {2000, 500}, {1000, 500}}}), step);
    EXPECT_EQ(s.go().end, End::unknown_water);
}

// Not linked to the tide's datum, or overhead without the boat's height: unknown.
TEST(DriftUnknown, datum_and_height) {
    Case s;
    s.scene.rock({1000.0, 0.0}, -1.0);
    s.scene.settings.below_reference = [](int) { return std::optional<double>(); };
    EXPECT_EQ(s.go().end, End::unknown_water);
    Case bridge;
    hazard::Step step;
    step.in_force = hazard::InForce::above;
    step.clearance_m = 8.0;
    bridge.scene.add(hazard::Kind::overhead, geo::Shape::of_lines({{{1000, -500}, {1000, 500}}}), step);
    EXPECT_EQ(bridge.go().end, End::unknown_water);
    bridge.scene.settings.air_height_m = 3.0;
    EXPECT_EQ(bridge.go().end, End::afloat) << "8 m of clearance, 3 m of tide";
    bridge.scene.settings.tide_is_lowest = true;
    EXPECT_EQ(bridge.go().end, End::unknown_water) << "the lowest of several tides says nothing of it";
    bridge.scene.settings.tide_is_lowest = false;
    bridge.scene.settings.air_height_m = 5.5;
    EXPECT_EQ(bridge.go().end, End::touched);
}

TEST(DriftUnknown, rough_water_by_its_stream) {
    const auto enters = [](double stream_kn, hazard::WaterState sea) {
        Case s;
        s.water = steady(90.0, stream_kn * mps_per_knot);
        hazard::Step step;
        step.in_force = hazard::InForce::by_stream;
        s.scene
            .add(hazard::Kind::rough_water,
                 geo::Shape::of_area({{{800, -500}, {1500, -500}, {1500, 500}, {800, 500}}}), step)
            .category = 3;
        Adrift a;
        a.begin = noon;
        a.lasts_s = 3600.0;
        a.water = &s.water;
        a.wind = &s.wind;
        a.tide = &s.tide;
        a.sea = sea;
        return run(a, s.scene.dangers(), {.particles = 1, .errors = Errors::none()}).fates[0].zone_s !=
               not_reached;
    };
    EXPECT_TRUE(enters(3.2, {}));
    EXPECT_TRUE(enters(2.5, {})) << "swell not stated";
    EXPECT_FALSE(enters(2.5, {{}, {}, 0.0}));
    EXPECT_FALSE(enters(1.5, {}));
}
