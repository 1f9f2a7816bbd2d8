// Drift on a gridded stream: what a particle-step costs, by instructions, with and without dangers, against a
// plain loop, on one thread and two.
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <functional>
#include <memory>
#include <random>
#include <string>
#include <vector>

#include "dangerline/base/parallel.hpp"
#include "drift/worlds.hpp"

using namespace dangerline;
using namespace dangerline::drift;
using namespace dangerline::drift::worlds;

namespace {

double wall_s() {
    return std::chrono::duration<double>(std::chrono::steady_clock::now().time_since_epoch()).count();
}
/// What one thread uses, so that other programs on the machine count less.
double processor_s() {
    return static_cast<double>(std::clock()) / CLOCKS_PER_SEC;
}

/// Medians of several works in turn, so that what disturbs one disturbs all.
std::vector<double> seconds_of(const std::vector<std::function<void()>>& works, double (*now)()) {
    constexpr std::size_t rounds = 7;
    std::vector<std::vector<double>> times(works.size());
    for (std::size_t round = 0; round < rounds; ++round)
        for (std::size_t i = 0; i < works.size(); ++i) {
            const double begin = now();
            works[i]();
            times[i].push_back(now() - begin);
        }
    std::vector<double> out;
    for (auto& each : times) {
        std::sort(each.begin(), each.end());
        out.push_back(each[rounds / 2]);
    }
    return out;
}

constexpr double hours = 6.0;

/// A coast of 1,500 rocks and 100 banks, one in a square kilometre, in water that turns with the tide.
Scene coast(bool dangers) {
    Scene scene;
    scene.settings.half_length_m = 3.0;
    std::mt19937 random(4);
    std::uniform_real_distribution<double> place(-19'500.0, 19'500.0), depth(-1.0, 2.0), size(60.0, 400.0);
    for (int i = 0; dangers && i < 1500; ++i)
        scene.rock({place(random), place(random)}, depth(random), 20.0);
    for (int i = 0; dangers && i < 100; ++i) {
        const geo::Point middle{place(random), place(random)};
        const double radius = size(random);
        std::vector<geo::Point> ring;
        for (int k = 0; k < 60; ++k)
            ring.push_back({middle.x + radius * (1.0 + 0.1 * (k % 3)) * std::cos(0.1047 * k),
                            middle.y + radius * (1.0 + 0.1 * (k % 3)) * std::sin(0.1047 * k)});
        hazard::Step step;
        step.depth = Depth::from_metres(depth(random));
        scene.add(hazard::Kind::depth, geo::Shape::of_area({ring}), step, 20.0);
    }
    return scene;
}

struct World {
    StreamGrid water = grid_of(
        [](geo::Point p, double t) {
            const double w = 1.405e-4;
            return sea::Stream{0.9 * std::cos(w * t + 1e-5 * p.x), 0.7 * std::sin(w * t) + 1e-5 * p.y};
        },
        hours, 463.0);
    sea::Wind wind = sea::Wind::steady(240.0, 6.0, "made");
    TideLine tide{[](Instant t) { return 2.0 + 1.5 * std::cos(1.405e-4 * (t - noon)); }, noon - 4.0 * 3600.0,
                  noon + (hours + 4.0) * 3600.0};
    Adrift adrift;
    World() {
        adrift.begin = noon;
        adrift.lasts_s = hours * 3600.0;
        adrift.leeway = {0.0365, 0.0, 15.0};
        adrift.water = &water;
        adrift.wind = &wind;
        adrift.tide = &tide;
    }
};

Dangers laid(const Scene& scene, const World& world) {
    auto settings = scene.settings;
    settings.box = world.water.box();
    Dangers dangers(scene.hazards, settings);
    dangers.prepare(world.tide.lowest_m(), world.tide.highest_m());
    return dangers;
}

double steps_of(const Ensemble& ensemble) {
    double steps = 0.0;
    for (const auto& fate : ensemble.fates)
        steps += std::ceil(fate.end_s / drift_step_s);
    return steps;
}

struct Asked {
    const Dangers& dangers;
    Level level;
    std::uint32_t particles = 4000;
    bool by_mask = false;
};
/// Nanoseconds a particle-step of each, on one thread.
std::vector<double> costs(const World& world, const std::vector<Asked>& all) {
    std::vector<double> steps(all.size());
    std::vector<std::function<void()>> works;
    for (std::size_t i = 0; i < all.size(); ++i)
        works.emplace_back([&, i] {
            EnsembleSettings settings{.particles = all[i].particles};
            settings.threads = 1;
            settings.level = all[i].level;
            settings.by_mask = all[i].by_mask;
            steps[i] = steps_of(run(world.adrift, all[i].dangers, settings));
        });
    auto out = seconds_of(works, processor_s);
    for (std::size_t i = 0; i < all.size(); ++i)
        out[i] *= 1e9 / steps[i];
    return out;
}

/// What one would write first: doubles, one generator, Euler, every area and rock asked at every step.
double naive_cost(const World& world, const Scene& scene) {
    std::mt19937 random(1);
    std::normal_distribution<double> normal;
    constexpr int particles = 20, steps = 360;
    double sum = 0.0;
    const auto seconds =
        seconds_of({[&] {
                       for (int i = 0; i < particles; ++i) {
                           geo::Point p{};
                           const double factor = 1.0 + 0.25 * normal(random);
                           for (int k = 0; k < steps; ++k) {
                               const Instant t = noon + drift_step_s * k;
                               const auto stream = world.water.at(p, t).value_or(sea::Stream{});
                               const auto wind = *world.wind.at(t);
                               p.x += drift_step_s * (factor * stream.east_mps + 0.0365 * wind.east_mps) +
                                      11.0 * normal(random);
                               p.y += drift_step_s * (factor * stream.north_mps + 0.0365 * wind.north_mps) +
                                      11.0 * normal(random);
                               const double tide = *world.tide.at(t);
                               for (const auto& h : scene.hazards.all) {
                                   const auto& step = h.steps.front();
                                   if (tide < 1.4 - step.depth.metres() && step.extent->distance(p) <= 20.0)
                                       sum += 1.0;
                               }
                           }
                       }
                   }},
                   processor_s);
    if (sum < 0.0)
        std::puts("impossible");
    return 1e9 * seconds[0] / (particles * steps);
}

/// Seconds of a calibration loop and of a drift by turns, on one thread and two.
std::vector<double> on_threads(const World& world, const Dangers& dangers) {
    std::vector<std::function<void()>> works;
    for (const unsigned threads : {1u, 2u}) {
        works.emplace_back([threads] {
            parallel_for(
                64,
                [](std::size_t i) {
                    volatile double x = static_cast<double>(i);
                    for (int k = 0; k < 300'000; ++k)
                        x = x * 0.999 + 1.0;
                },
                threads);
        });
        works.emplace_back([&, threads] {
            EnsembleSettings settings{.particles = 20'000};
            settings.threads = threads;
            run(world.adrift, dangers, settings);
        });
    }
    return seconds_of(works, wall_s);
}

} // namespace

int main(int count, char** words) {
    const World world;
    const Scene with = coast(true), without = coast(false);
    const Dangers dangers = laid(with, world), none = laid(without, world);
    const Level best = levels().back();
    if (count > 1 && std::string(words[1]) == "--rate") { // for the comparison with other programs
        std::printf("%.4g %s\n", 1e9 / costs(world, {{dangers, best}})[0], to_text(best));
        return 0;
    }
    // Dangers of their own: cells that were measured are no mask any more.
    const Dangers masked = laid(with, world);
    const auto both = costs(world, {{masked, best, 4000, true},
                                    {dangers, best},
                                    {none, best},
                                    {none, Level::plain},
                                    {dangers, best, 1000}});
    const double mask_ns = both[0], exact_ns = both[1], free_ns = both[2];
    std::printf("drift, one thread, %s: %.1f ns a particle-step with dangers tested exactly (%.0f million a "
                "second), %.1f ns for 1,000 particles\n",
                to_text(best), exact_ns, 1e3 / exact_ns, both[4]);
    std::vector<Asked> by_level;
    for (const Level level : levels())
        by_level.push_back({dangers, level});
    const auto level_ns = costs(world, by_level);
    for (std::size_t i = 0; i < level_ns.size(); ++i)
        std::printf("  %-8s %.1f ns, %.2f times the best\n", to_text(levels()[i]), level_ns[i],
                    level_ns[i] / level_ns.back());
    std::printf("  dispatched against plain: %.2f times (bar 4)\n", both[3] / free_ns);
    std::printf(
        "  exact test against a mask of the same cells: %.1f against %.1f ns, %.2f times (bar 1.5); against "
        "boats that meet nothing %.2f times\n",
        exact_ns, mask_ns, exact_ns / mask_ns, exact_ns / free_ns);
    const double naive = naive_cost(world, with);
    std::printf("  plain loop (double, mt19937, every hazard asked): %.0f ns, %.0f times (bar 500)\n", naive,
                naive / exact_ns);
    const auto threads = on_threads(world, dangers);
    std::printf("  two threads against one: %.2f times (bar 1.6); a calibration loop: %.2f times\n",
                threads[1] / threads[3], threads[0] / threads[2]);
}
