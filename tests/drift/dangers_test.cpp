// The short way to the first danger against the long one.
#include "dangerline/drift/dangers.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "drift/worlds.hpp"

using namespace dangerline;
using namespace dangerline::drift;
using namespace dangerline::drift::worlds;

namespace {

std::vector<geo::Point> ring(std::mt19937& random, geo::Point middle, double size) {
    std::uniform_real_distribution<double> part(0.4, 1.0);
    std::vector<geo::Point> points;
    for (int i = 0; i < 9; ++i) {
        const double angle = 2.0 * 3.14159265358979 * i / 9.0, radius = size * part(random);
        points.push_back({middle.x + radius * std::cos(angle), middle.y + radius * std::sin(angle)});
    }
    return points;
}

/// Any bottom: that a bank has one says that its steps lie within one another.
std::shared_ptr<const seabed::Surface> a_surface() {
    seabed::AreaDepths depths;
    depths.area = {{{{0.0, 0.0}, {100.0, 0.0}, {0.0, 100.0}, {0.0, 0.0}}}};
    depths.edge_depth_m = {0.0, 1.0, 0.0};
    depths.edge_source = {seabed::Source::edge, seabed::Source::edge, seabed::Source::edge};
    depths.deepest_m = 1.0;
    auto made = seabed::Surface::build(depths);
    return made ? std::make_shared<const seabed::Surface>(std::move(*made)) : nullptr;
}

/// Rocks, ledges, banks of nested steps and water nobody charted, within 3.5 km.
Scene random_scene(unsigned seed) {
    std::mt19937 random(seed);
    std::uniform_real_distribution<double> place(-3500.0, 3500.0), depth(-3.0, 4.0), radius(0.0, 120.0),
        size(30.0, 700.0);
    Scene scene;
    scene.settings.half_length_m = 3.0;
    for (int i = 0; i < 30; ++i)
        scene.rock({place(random), place(random)}, depth(random), radius(random));
    for (int i = 0; i < 8; ++i) {
        const geo::Point a{place(random), place(random)};
        scene.ledge({a, {a.x + size(random), a.y - size(random)}, {a.x, a.y + size(random)}}, depth(random),
                    radius(random));
    }
    for (int i = 0; i < 10; ++i) {
        const geo::Point middle{place(random), place(random)};
        auto points = ring(random, middle, size(random));
        const double deepest = depth(random);
        hazard::Hazard* bank = nullptr;
        for (int k = 0; k < 8; ++k) {
            hazard::Step step;
            step.depth = Depth::from_metres(deepest - 0.1 * k);
            auto shape = geo::Shape::of_area({points});
            if (!bank) {
                bank = &scene.add(hazard::Kind::depth, std::move(shape), step, radius(random));
            } else {
                step.extent = std::make_shared<const geo::Shape>(std::move(shape));
                bank->steps.push_back(step);
            }
            for (auto& p : points)
                p = {middle.x + 0.93 * (p.x - middle.x), middle.y + 0.93 * (p.y - middle.y)};
        }
    }
    const auto surface = a_surface();
    EXPECT_TRUE(surface);
    for (std::size_t i = 0; i < scene.hazards.all.size(); ++i)
        if (scene.hazards.all[i].steps.size() > 1 && i % 2 == 0)
            scene.hazards.all[i].surface = surface;
    hazard::Step unknown;
    unknown.in_force = hazard::InForce::always;
    unknown.decides = hazard::Grade::unknown;
    scene.add(hazard::Kind::no_data,
              geo::Shape::of_area({ring(random, {place(random), place(random)}, 900.0)}), unknown, 30.0);
    return scene;
}

bool same(const Fate& a, const Fate& b) {
    return a.zone_s == b.zone_s && a.touch_s == b.touch_s && a.zone == b.zone && a.touch == b.touch &&
           a.end == b.end && a.end_s == b.end_s && a.end_at == b.end_at;
}

struct World {
    Scene scene;
    StreamGrid water;
    sea::Wind wind;
    TideLine tide;
    Adrift adrift;
    explicit World(unsigned seed)
        : scene(random_scene(seed)),
          water(grid_of(
              [seed](geo::Point p, double t) {
                  const double w = 1.4e-4;
                  return sea::Stream{0.6 * std::cos(w * t + seed) + 4e-5 * p.y, 0.5 * std::sin(w * t + seed)};
              },
              4.0)),
          wind(sea::Wind::steady(37.0 * seed, 7.0, "made")),
          tide(
              [seed](Instant t) { // rises, or falls and lays banks bare under boats
                  return 2.0 + (seed % 2 == 0 ? 2.2 : -2.2) * std::cos(1.405e-4 * (t - noon));
              },
              noon - 6.0 * 3600.0, noon + 10.0 * 3600.0) {
        adrift.begin = noon;
        adrift.lasts_s = 4.0 * 3600.0;
        adrift.start = {300.0 * (seed % 7) - 900.0, 200.0 * (seed % 5)};
        adrift.leeway = {0.0365, 0.0, 15.0};
        adrift.water = &water;
        adrift.wind = &wind;
        adrift.tide = &tide;
    }
};

} // namespace

// 10,000 tracks: the bounds and the index skip nothing.
TEST(Dangers, first_hit_as_by_testing_everything) {
    int hits = 0, differ = 0, tracks = 0;
    for (unsigned seed = 1; seed <= 20; ++seed) {
        const World world(seed);
        const auto dangers = world.scene.dangers(-1.0, 5.0);
        EnsembleSettings settings{.particles = 500, .seed = seed};
        const auto fast = run(world.adrift, dangers, settings);
        settings.exact_by_all = true;
        const auto slow = run(world.adrift, dangers, settings);
        for (std::size_t i = 0; i < fast.fates.size(); ++i) {
            ++tracks;
            hits += fast.fates[i].zone_s != not_reached ? 1 : 0;
            differ += same(fast.fates[i], slow.fates[i]) ? 0 : 1;
        }
    }
    EXPECT_EQ(tracks, 10'000);
    EXPECT_EQ(differ, 0);
    EXPECT_GT(hits, 3000) << "too few hits to tell";
    EXPECT_LT(hits, 9900);
}

// What the exact test is measured against: nearly all that is met is met, but at other times.
TEST(Dangers, a_mask_meets_what_reaches_into_its_cells) {
    int exact = 0, both = 0, later = 0;
    for (unsigned seed = 1; seed <= 4; ++seed) {
        const World world(seed);
        EnsembleSettings settings{.particles = 500, .seed = seed};
        const auto precise = run(world.adrift, world.scene.dangers(-1.0, 5.0), settings);
        settings.by_mask = true;
        const auto coarse = run(world.adrift, world.scene.dangers(-1.0, 5.0), settings);
        for (std::size_t i = 0; i < precise.fates.size(); ++i) {
            if (precise.fates[i].zone_s == not_reached)
                continue;
            ++exact;
            both += coarse.fates[i].zone_s != not_reached ? 1 : 0;
            later += coarse.fates[i].zone_s > precise.fates[i].zone_s + 2.0f * 60.0f ? 1 : 0;
        }
    }
    EXPECT_GT(exact, 400);
    EXPECT_GT(both, exact * 9 / 10);
    EXPECT_LT(later, exact / 10);
}

TEST(Dangers, same_result_on_all_threads_and_instructions) {
    const World world(3);
    const auto dangers = world.scene.dangers(-1.0, 5.0);
    const auto with = [&](unsigned threads, Level level) {
        EnsembleSettings settings{.particles = 1100, .seed = 99, .tracks = 5, .hourly = true};
        settings.threads = threads;
        settings.level = level;
        return run(world.adrift, dangers, settings);
    };
    const auto first = with(1, Level::plain);
    for (const Level level : levels())
        for (const unsigned threads : {1u, 2u, 8u}) {
            const auto other = with(threads, level);
            for (std::size_t i = 0; i < first.fates.size(); ++i)
                ASSERT_TRUE(same(first.fates[i], other.fates[i]))
                    << to_text(level) << ", " << threads << " threads, particle " << i;
            EXPECT_EQ(first.tracks, other.tracks);
            EXPECT_EQ(first.hourly, other.hourly);
        }
    EnsembleSettings other_seed{.particles = 1100, .seed = 100};
    EXPECT_FALSE(same(first.fates[0], run(world.adrift, dangers, other_seed).fates[0]));
}

TEST(Dangers, another_hazard_never_gives_more_time) {
    for (unsigned seed = 1; seed <= 12; ++seed) {
        World world(seed);
        const EnsembleSettings settings{.particles = 400, .seed = seed};
        const auto before = run(world.adrift, world.scene.dangers(-1.0, 5.0), settings);
        world.scene.rock({world.adrift.start.x + 800.0, world.adrift.start.y - 300.0}, -1.0, 150.0);
        const auto after = run(world.adrift, world.scene.dangers(-1.0, 5.0), settings);
        for (std::size_t i = 0; i < before.fates.size(); ++i)
            EXPECT_LE(after.fates[i].trouble_s(), before.fates[i].trouble_s()) << seed << " " << i;
    }
}

TEST(Dangers, bounds_are_never_more_than_the_distance) {
    std::mt19937 random(5);
    std::uniform_real_distribution<double> place(-6000.0, 6000.0), height(-1.0, 5.0);
    double most = 0.0;
    for (unsigned seed = 30; seed < 34; ++seed) {
        const Scene scene = random_scene(seed);
        const auto dangers = scene.dangers(-1.0, 5.0);
        for (int i = 0; i < 3000; ++i) {
            const geo::Point p{place(random), place(random)};
            const double tide = height(random), distance = dangers.nearest_zone(p, tide);
            const auto cell_of = [](double metres) {
                return static_cast<std::int32_t>(metres / Dangers::cell_m);
            };
            const double bound = dangers.bounds_at(tide).zone_m(cell_of(p.x - twenty_km.min_x),
                                                                cell_of(p.y - twenty_km.min_y));
            EXPECT_LE(bound, distance);
            const double band_tide = Dangers::band_m * std::floor(tide / Dangers::band_m);
            if (bound > 0.0 && bound < 400.0) // more than 500 m are not told apart
                most = std::max(most, dangers.nearest_zone(p, band_tide) - bound);
        }
    }
    // Two diagonals of cells: half of one here and there, a whole one for a zone that only grazes its cell.
    EXPECT_LT(most, 2.0 * std::numbers::sqrt2 * Dangers::cell_m + 3.0);
    EXPECT_GT(most, 0.0);
}

// What a boat is told that is in no zone: measured to a few metres, kept for all that pass the cell later.
TEST(Dangers, measured_bounds_are_never_more_than_the_distance) {
    std::mt19937 random(6);
    std::uniform_real_distribution<double> place(-4000.0, 4000.0), height(-1.0, 5.0), off(-25.0, 25.0);
    int measured = 0, close = 0;
    for (unsigned seed = 40; seed < 44; ++seed) {
        const Scene scene = random_scene(seed);
        const auto dangers = scene.dangers(-1.0, 5.0);
        for (int i = 0; i < 3000; ++i) {
            const geo::Point p{place(random), place(random)};
            const double tide = height(random);
            const auto& bounds = dangers.bounds_at(tide);
            const double distance = dangers.nearest_zone(p, bounds.tide_m);
            const auto free = dangers.measure(bounds, p, true);
            if (!free || distance == 0.0)
                continue;
            ++measured;
            EXPECT_LE(*free, distance);
            const auto cell_of = [](double metres) {
                return static_cast<std::int32_t>((metres + 20'000.0) / Dangers::cell_m);
            };
            EXPECT_LE(bounds.zone_m(cell_of(p.x), cell_of(p.y)), distance);
            if (distance < 100.0) {
                ++close; // to the middle of the cell and back, steps of 4 m, half a metre
                EXPECT_GT(*free, distance - std::numbers::sqrt2 * Dangers::cell_m - 4.6);
            }
            EXPECT_FALSE(dangers.measure(bounds, p, true)) << "again";
        }
    }
    EXPECT_GT(measured, 3000);
    EXPECT_GT(close, 200);
}
