#include "dangerline/drift/outcomes.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>
#include <random>

#include "drift/worlds.hpp"

using namespace dangerline;
using namespace dangerline::drift;
using namespace dangerline::drift::worlds;

TEST(Outcomes, quantiles) {
    std::vector<double> numbers;
    for (int i = 100; i >= 1; --i)
        numbers.push_back(i);
    EXPECT_EQ(quantile(numbers, 0.05), 5.0);
    EXPECT_EQ(quantile(numbers, 0.5), 50.0);
    EXPECT_EQ(quantile(numbers, 0.95), 95.0);
    EXPECT_EQ(quantile({7.0}, 0.05), 7.0);
    EXPECT_EQ(quantile({}, 0.5), std::numeric_limits<double>::infinity());
}

namespace {

struct Shore {
    Scene scene;
    StreamGrid water = steady(90.0, 0.5);
    sea::Wind wind = sea::Wind::steady(270.0, 6.0, "W");
    TideLine tide{[](Instant t) { return 2.0 - (t - noon) / 3600.0 * 0.8; }, noon - 3.0 * 3600.0,
                  noon + 5.0 * 3600.0};
    Adrift adrift;
    EnsembleSettings settings{.particles = 1000, .seed = 7};
    Shore() {
        scene.settings.half_length_m = 2.5;
        scene.ledge({{2000.0, -400.0}, {2000.0, 400.0}}, 0.2, 30.0);
        hazard::Step land;
        land.in_force = hazard::InForce::always;
        scene.add(hazard::Kind::shore,
                  geo::Shape::of_area({{{6000, 900}, {9000, 900}, {9000, 5000}, {6000, 5000}}}), land);
        hazard::Step unknown = land;
        unknown.decides = hazard::Grade::unknown;
        scene.add(hazard::Kind::no_data,
                  geo::Shape::of_area({{{4000, -6000}, {9000, -6000}, {9000, -900}, {4000, -900}}}), unknown);
        adrift.begin = noon;
        adrift.lasts_s = 3.0 * 3600.0;
        adrift.leeway = {0.0365, 0.0, 15.0};
        adrift.water = &water;
        adrift.wind = &wind;
        adrift.tide = &tide;
        settings.hourly = true;
    }
};

} // namespace

TEST(Outcomes, sum_to_one_and_say_what_comes_first) {
    const Shore shore;
    const auto dangers = shore.scene.dangers(-2.0, 5.0);
    const auto ensemble = run(shore.adrift, dangers, shore.settings);
    const auto summary = summarise(ensemble, shore.adrift, dangers);
    double sum = 0.0;
    bool danger = false, unknown = false;
    for (const auto& o : summary.outcomes) {
        sum += o.share;
        danger = danger || o.kind == Outcome::Kind::danger;
        unknown = unknown || o.kind == Outcome::Kind::unknown;
        EXPECT_LE(o.early_s, o.median_s);
        EXPECT_LE(o.touched_share, o.share + 1e-12);
    }
    EXPECT_NEAR(sum, 1.0, 1e-12);
    EXPECT_TRUE(danger);
    EXPECT_TRUE(unknown);
    EXPECT_LE(summary.trouble.early_s, summary.zone.early_s);
    EXPECT_LE(summary.zone.early_s, summary.touch.early_s);
    EXPECT_LE(summary.trouble.median_s, summary.zone.median_s);
    double in_clusters = 0.0, in_dangers = 0.0;
    for (const auto& c : summary.clusters)
        in_clusters += c.share;
    for (const auto& o : summary.outcomes)
        in_dangers += o.kind == Outcome::Kind::danger ? o.share : 0.0;
    EXPECT_NEAR(in_clusters, in_dangers, 1e-12);
    ASSERT_FALSE(summary.clusters.empty());
    EXPECT_GT(summary.clusters.front().place.x, 1900.0);
}

// The ledge of 0.2 m is touched below a tide of 0.4; at noon it stands at 2.0 and falls 0.8 m/h for good.
TEST(Outcomes, aground_until_the_tide_comes_back) {
    Shore shore;
    const auto back = noon + 4.0 * 3600.0; // then it rises again, 1 m/h
    shore.tide = {
        [&](Instant t) { return t < back ? 2.0 - (t - noon) / 3600.0 * 0.8 : -1.2 + (t - back) / 3600.0; },
        noon - 3.0 * 3600.0, noon + 9.0 * 3600.0};
    shore.settings.errors = Errors::none();
    shore.scene = Scene();
    shore.scene.ledge({{2000.0, -4000.0}, {2000.0, 4000.0}}, 0.2);
    shore.water = steady(90.0, 0.3);
    shore.wind = sea::Wind::steady(0.0, 0.0, "none");
    shore.adrift.start = {-200.0, 0.0}; // there after 122 minutes, when the tide is 0.37
    const auto dangers = shore.scene.dangers(-2.0, 5.0);
    const auto ensemble = run(shore.adrift, dangers, shore.settings);
    const auto aground = summarise(ensemble, shore.adrift, dangers).aground;
    ASSERT_TRUE(aground);
    EXPECT_NEAR(aground->touched - noon, 2200.0 / 0.3, 20.0);
    EXPECT_EQ(aground->falling, true);
    EXPECT_FALSE(aground->at_any_tide);
    ASSERT_TRUE(aground->until);
    EXPECT_NEAR(*aground->until - back, 1.6 * 3600.0, 61.0); // -1.2 + 1.6 = 0.4
    EXPECT_EQ(aground->share, 1.0);
}

// Boats whose tide comes early touch sooner and float sooner than foretold: the tide told stands beside both.
TEST(Outcomes, afloat_no_sooner_than_the_tide_foretold) {
    Shore shore;
    const auto back = noon + 4.0 * 3600.0;
    shore.tide = {
        [&](Instant t) { return t < back ? 2.0 - (t - noon) / 3600.0 * 0.8 : -1.2 + (t - back) / 3600.0; },
        noon - 3.0 * 3600.0, noon + 9.0 * 3600.0};
    shore.scene = Scene();
    shore.scene.ledge({{2000.0, -4000.0}, {2000.0, 4000.0}}, 0.2);
    shore.water = steady(90.0, 0.3);
    shore.wind = sea::Wind::steady(0.0, 0.0, "none");
    shore.settings.errors = Errors::none();
    shore.settings.errors.tide_clock_s = 1800.0;
    shore.settings.particles = 40;
    const auto dangers = shore.scene.dangers(-2.0, 5.0);
    int runs = 0;
    for (const double start : {-200.0, 300.0, 600.0}) // foretold tides of 0.37, 0.74 and 0.96 there
        for (shore.settings.seed = 1; shore.settings.seed < 6; ++shore.settings.seed) {
            shore.adrift.start = {start, 0.0};
            const auto ensemble = run(shore.adrift, dangers, shore.settings);
            const auto aground = summarise(ensemble, shore.adrift, dangers).aground;
            if (!aground)
                continue;
            ++runs;
            ASSERT_TRUE(aground->until);
            const double then = *shore.tide.at(*aground->until);
            EXPECT_GE(then, *shore.tide.at(aground->touched) - 1e-6);
            EXPECT_GE(then, 0.4 - 1e-6);
        }
    EXPECT_GT(runs, 8);
}

// A boat that lies on the shoal middle of a bank floats when its middle does, not when its rim does.
TEST(Outcomes, afloat_off_whatever_it_lies_on) {
    Shore shore;
    const auto back = noon + 2.0 * 3600.0;
    shore.tide = {[&](Instant t) { return t < back ? 0.0 : (t - back) / 3600.0; }, noon - 3.0 * 3600.0,
                  noon + 9.0 * 3600.0};
    shore.settings.errors = Errors::none();
    shore.scene = Scene();
    for (const double half : {500.0, 100.0}) {
        hazard::Step step;
        step.depth = Depth::from_metres(half > 200.0 ? -0.2 : -2.0);
        shore.scene.add(hazard::Kind::depth,
                        geo::Shape::of_area({{{-half, -half}, {half, -half}, {half, half}, {-half, half}}}),
                        step);
    }
    shore.adrift.start = {0.0, 0.0};
    const auto dangers = shore.scene.dangers(-2.0, 5.0);
    const auto aground = summarise(run(shore.adrift, dangers, shore.settings), shore.adrift, dangers).aground;
    ASSERT_TRUE(aground && aground->until);
    EXPECT_EQ(aground->touched, noon);
    double middle_m = 0.0;
    for (const auto& o : dangers.all())
        middle_m = std::max(middle_m, o.touch_below_m);
    EXPECT_GE(*shore.tide.at(*aground->until), middle_m - 1e-6);
}

TEST(Outcomes, outlines_hold_their_share) {
    std::mt19937 random(11);
    std::normal_distribution<double> normal;
    std::vector<geo::Point> points;
    for (int i = 0; i < 4000; ++i)
        points.push_back({400.0 * normal(random), 900.0 * normal(random) + (i % 2 ? 6000.0 : 0.0)});
    for (const double share : {0.5, 0.9}) {
        const auto area = outline(points, share);
        const auto shape = geo::to_shape(area);
        double inside = 0.0;
        for (const auto& p : points)
            inside += shape.contains(p) ? 1.0 / 4000.0 : 0.0;
        EXPECT_NEAR(inside, share, 0.01);
        EXPECT_EQ(area.size(), 2u) << "two clouds";
        // Of a normal cloud the smallest area with a share in it is 2 pi sx sy ln(1 / (1 - share)).
        EXPECT_NEAR(geo::area_of(area) / (2.0 * 2.0 * 3.14159 * 400.0 * 900.0 * -std::log(1.0 - share)), 1.0,
                    0.12);
    }
    EXPECT_TRUE(outline({{0, 0}, {1, 1}}, 0.5).empty());
    const std::vector<geo::Point> one_place(100, geo::Point{3.0, 4.0});
    EXPECT_TRUE(geo::to_shape(outline(one_place, 0.9)).contains({3.0, 4.0}));
}
