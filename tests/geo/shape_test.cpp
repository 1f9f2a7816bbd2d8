#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "dangerline/geo/index.hpp"
#include "dangerline/geo/shape.hpp"
#include "geo/scenes.hpp"

using namespace dangerline::geo;

TEST(Shape, keeps_parts_and_closes_rings) {
    const auto lines = Shape::of_lines({{{0, 0}, {10, 0}}, {}, {{5, 5}}});
    EXPECT_EQ(lines.kind(), ShapeKind::lines);
    ASSERT_EQ(lines.part_count(), 2U);
    EXPECT_EQ(lines.part(1).size(), 1U);
    EXPECT_EQ(lines.box().max_y, 5);
    const auto area = Shape::of_area({{{0, 0}, {10, 0}, {10, 10}}, {{20, 0}, {30, 0}}, {{40, 40}}});
    ASSERT_EQ(area.part_count(), 3U);
    EXPECT_EQ(area.part(0).size(), 4U);
    EXPECT_EQ(area.part(0).front(), area.part(0).back());
    EXPECT_EQ(area.box().max_x, 40);
    EXPECT_FALSE(area.contains({25, 0}));
    EXPECT_EQ(area.distance({25, 7}), 7); // bounds nothing, still there
    EXPECT_EQ(area.distance({40, 45}), 5);
    EXPECT_TRUE(Shape().empty());
    EXPECT_TRUE(std::isinf(Shape().distance({0, 0})));
    EXPECT_FALSE(Shape::of_points({{1, 1}}).contains({1, 1}));
}

TEST(Shape, runs_cover_every_edge_once) {
    scenes::Random random(4, 1000, 0);
    const auto shape =
        Shape::of_lines({random.chain(200), random.chain(1), random.chain(65), random.chain(66)});
    std::vector<int> seen(shape.points().size(), 0);
    for (const auto& run : shape.runs()) {
        EXPECT_LE(run.last - run.first, 64U);
        for (auto i = run.first; i < run.last; ++i)
            ++seen[i];
        for (auto i = run.first; i <= run.last; ++i) {
            const Point p = shape.points()[i];
            EXPECT_TRUE(run.box.meets({p.x, p.y, p.x, p.y}));
        }
    }
    for (std::size_t i = 0; i < seen.size(); ++i)
        EXPECT_EQ(seen[i], i == 199 || i == 200 || i == 265 || i == 331 ? 0 : 1) << i;
}

TEST(Shape, inside_and_distance_agree_with_geos) {
    int inside = 0;
    for (unsigned seed = 0; seed < 60; ++seed) {
        scenes::Random random(seed, 1000, 0);
        Shape shape;
        if (seed % 3 == 0)
            shape = Shape::of_points(random.chain(20));
        else if (seed % 3 == 1)
            shape = Shape::of_lines({random.chain(150), random.chain(1), random.chain(3)});
        else
            shape = Shape::of_area({random.star({50, 20}, 400, 900, 300), random.star({0, 0}, 50, 200, 40)});
        const auto geometry = scenes::geometry(shape);
        for (int i = 0; i < 100; ++i) {
            const Point p = random.point();
            const auto point = scenes::line(std::vector{p});
            double want = 0.0;
            GEOSDistance_r(scenes::geos(), geometry.get(), point.get(), &want);
            EXPECT_NEAR(shape.distance(p), want, 1e-9);
            const bool in = shape.kind() == ShapeKind::area && want == 0.0;
            EXPECT_EQ(shape.contains(p), in);
            inside += in;
        }
    }
    EXPECT_GT(inside, 300);
}

TEST(Shape, inside_at_the_height_of_corners) {
    const auto comb =
        Shape::of_area({{{0, 0}, {60, 0}, {60, 10}, {50, 20}, {40, 10}, {30, 10}, {20, 20}, {0, 10}}});
    for (const double y : {10.0, 5.0})
        for (const double x : {1.0, 25.0, 45.0, 55.0})
            EXPECT_EQ(comb.contains({x, y - 1e-6}), true) << x << " " << y;
    EXPECT_FALSE(comb.contains({-5, 10}));
    EXPECT_FALSE(comb.contains({-5, 0}));
    EXPECT_FALSE(comb.contains({35, 15}));
    EXPECT_FALSE(comb.contains({10, 20}));
}

TEST(BoxIndex, finds_what_brute_force_finds) {
    scenes::Random random(5, 1000, 10);
    std::vector<Box> boxes;
    for (int i = 0; i < 800; ++i) {
        const Point p = random.point();
        boxes.push_back({p.x, p.y, p.x + random.below(10) * 10, p.y + random.below(10) * 10});
    }
    const BoxIndex index(boxes);
    std::size_t found = 0;
    for (int i = 0; i < 500; ++i) {
        const Point p = random.point();
        const Box query{p.x, p.y, p.x + random.below(20) * 10, p.y + random.below(20) * 10};
        std::vector<std::uint32_t> want;
        for (std::uint32_t k = 0; k < boxes.size(); ++k)
            if (boxes[k].meets(query))
                want.push_back(k);
        EXPECT_EQ(index.meeting(query), want);
        found += want.size();
    }
    EXPECT_GT(found, 1000U);
    EXPECT_TRUE(BoxIndex({}).meeting({0, 0, 1, 1}).empty());
}

// A ring of thousands of corners with holes against a walk along every edge, at the heights of corners too.
TEST(Shape, ContainsAsEveryEdgeSays) {
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> radius(400.0, 1000.0), any(-1010.0, 1010.0);
    std::vector<std::vector<Point>> rings(3);
    constexpr int corners = 6000;
    for (int i = 0; i < corners; ++i) {
        const double at = 2.0 * std::numbers::pi * i / corners, r = radius(random);
        rings[0].push_back({std::round(r * std::cos(at)), std::round(r * std::sin(at))});
        rings[1].push_back({100.0 + 0.2 * r * std::cos(at), 0.2 * r * std::sin(at)});
        rings[2].push_back({-250.0, i == 0 ? 0.0 : 1.0 + i % 2});
    }
    for (auto& ring : rings)
        ring.push_back(ring.front());
    const Shape shape = Shape::of_area(rings);
    const auto by_every_edge = [&](Point p) {
        bool inside = false;
        for (const auto& ring : rings)
            for (std::size_t i = 1; i < ring.size(); ++i) {
                const Point a = ring[i - 1], b = ring[i];
                if ((a.y > p.y) != (b.y > p.y))
                    inside ^= ((b.x - a.x) * (p.y - a.y) - (p.x - a.x) * (b.y - a.y) > 0.0) == (b.y > a.y);
            }
        return inside;
    };
    int within = 0;
    for (int i = 0; i < 20'000; ++i) {
        const double y = i % 2 == 0 ? any(random) : rings[0][static_cast<std::size_t>(i) % corners].y;
        const Point p{any(random), y};
        const bool inside = shape.contains(p);
        EXPECT_EQ(inside, by_every_edge(p) && shape.box().meets({p.x, p.y, p.x, p.y}));
        within += inside;
    }
    EXPECT_GT(within, 3000);
    EXPECT_LT(within, 17'000);
}
