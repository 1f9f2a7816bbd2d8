// Cutting shapes along an area: nothing is lost, nothing is doubled; and what lies near edges.
#include "dangerline/geo/cut.hpp"
#include "dangerline/geo/regions.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

using namespace dangerline::geo;

namespace {

Ring square(double x, double y, double side) {
    return {{x, y}, {x + side, y}, {x + side, y + side}, {x, y + side}, {x, y}};
}

std::shared_ptr<const Shape> shared(Shape shape) {
    return std::make_shared<const Shape>(std::move(shape));
}

double area(const std::shared_ptr<const Shape>& shape) {
    return shape ? area_of(polygons_of(*shape)) : 0.0;
}

double length(const std::shared_ptr<const Shape>& shape) {
    double metres = 0.0;
    for (std::size_t i = 0; shape && i < shape->part_count(); ++i)
        for (std::size_t k = 1; k < shape->part(i).size(); ++k) {
            const auto a = shape->part(i)[k - 1], b = shape->part(i)[k];
            metres += std::hypot(b.x - a.x, b.y - a.y);
        }
    return metres;
}

// A square of 100 m with a hole of 20 m.
const std::vector<PolygonRings> holed{{square(0, 0, 100), square(40, 40, 20)}};

} // namespace

TEST(Cut, Points) {
    const Cutter cutter(holed);
    const auto cut = cutter.cut(shared(Shape::of_points({{10, 10}, {50, 50}, {200, 0}})));
    ASSERT_TRUE(cut.inside && cut.outside);
    EXPECT_EQ(cut.inside->points().size(), 1U);
    EXPECT_EQ(cut.outside->points().size(), 2U);
}

TEST(Cut, LinesKeepTheirLength) {
    const Cutter cutter(holed);
    const auto cut = cutter.cut(shared(Shape::of_lines({{{-10, 50}, {110, 50}}})));
    EXPECT_NEAR(length(cut.inside), 80.0, 1e-9);
    EXPECT_NEAR(length(cut.outside), 40.0, 1e-9);
    const auto along = cutter.cut(shared(Shape::of_lines({{{-10, 0}, {110, 0}}})));
    EXPECT_NEAR(length(along.inside) + length(along.outside), 120.0, 1e-9);
}

TEST(Cut, AreasKeepTheirSize) {
    const Cutter cutter(holed);
    std::mt19937 random(5);
    std::uniform_real_distribution<double> place(-60, 110), side(5, 90);
    for (int i = 0; i < 300; ++i) {
        const double s = side(random);
        const auto shape = shared(Shape::of_area({square(place(random), place(random), s)}));
        const auto cut = cutter.cut(shape);
        EXPECT_NEAR(area(cut.inside) + area(cut.outside), s * s, 1e-6);
        for (const Point& p : {Point{10, 10}, Point{50, 50}, Point{-20, 30}, Point{99, 5}})
            EXPECT_EQ(shape->contains(p),
                      (cut.inside && cut.inside->contains(p)) || (cut.outside && cut.outside->contains(p)));
    }
}

TEST(Cut, WhatIsNotCutComesBackAsItWas) {
    const Cutter cutter(holed);
    const auto far = shared(Shape::of_area({square(500, 0, 10)}));
    EXPECT_EQ(cutter.cut(far).outside, far);
    EXPECT_FALSE(cutter.cut(far).inside);
    const auto within = shared(Shape::of_area({square(10, 10, 10)}));
    EXPECT_EQ(cutter.cut(within).inside, within);
    EXPECT_FALSE(cutter.cut(within).outside);
    const auto beside = shared(Shape::of_area({square(100, 0, 10)})); // shares an edge
    EXPECT_EQ(cutter.cut(beside).outside, beside);
    EXPECT_FALSE(cutter.cut(beside).inside);
    const auto bare = shared(Shape::of_area({{{1, 1}, {2, 2}}, square(-10, -10, 30)}));
    EXPECT_EQ(cutter.cut(bare).inside, bare); // bounds nothing: counts on both sides
    EXPECT_EQ(cutter.cut(bare).outside, bare);
    EXPECT_EQ(Cutter({}).cut(far).outside, far);
}

TEST(Cut, NearEdgesErrsToTheWideSideByFourInAHundred) {
    const Shape land = Shape::of_area({square(0, 0, 30'000)});
    const Shape islet = Shape::of_area({square(60'000, 0, 10)}), rock = Shape::of_points({{0, 90'000}});
    const double radius = 5000.0;
    const Shape near = to_shape(near_edges({&land, &islet, &rock}, radius));
    for (int i = 0; i < 720; ++i) {
        const double angle = i * std::acos(-1.0) / 360.0;
        const Point direction{std::cos(angle), std::sin(angle)};
        for (const Point& from : {Point{0, 90'000}, Point{60'005, 5}}) {
            const auto at = [&](double r) {
                return near.contains({from.x + r * direction.x, from.y + r * direction.y});
            };
            EXPECT_TRUE(at(radius)) << i;
            EXPECT_FALSE(at(1.04 * radius + 8.0)) << i;
        }
    }
    EXPECT_TRUE(near.contains({15'000, -4'999}));
    EXPECT_FALSE(near.contains({15'000, -5'210}));
    EXPECT_TRUE(near_edges({}, radius).empty());
}

TEST(Cut, WhatTwoAreasShare) {
    EXPECT_NEAR(area_of(common(holed, {{square(50, 50, 100)}})), 2500.0 - 100.0, 1e-9);
    EXPECT_TRUE(common(holed, {}).empty());
}

// Corners on the line keep their bits though they are no round numbers; what only touches it leaves nothing.
TEST(Cut, ByBoxKeepsCornersOnTheLine) {
    std::mt19937_64 random(17);
    std::uniform_real_distribution<double> any(-50'000.0, 50'000.0);
    for (int round = 0; round < 500; ++round) {
        const double at = any(random), beside = any(random), y = any(random);
        if (std::abs(at - beside) < 1.0)
            continue;
        // A house whose wall with a window stands on the line, on either side of it.
        const std::vector<Point> wall{{at, y}, {at, y + 7.3}, {at, y + 11.9}};
        const Ring house{wall[0], wall[1], wall[2], {beside, y + 5.1}, wall[0]};
        const auto cut = cut_by_box(Shape::of_area({house}), {at, -60'000.0, 60'000.0, 60'000.0});
        const auto& whole = beside > at ? cut.inside : cut.outside;
        EXPECT_TRUE((beside > at ? cut.outside : cut.inside).empty());
        ASSERT_EQ(whole.size(), 1U);
        for (const Point& p : whole[0])
            EXPECT_NE(std::find(house.begin(), house.end(), p), house.end());
    }
}

TEST(Cut, ByBoxLosesAndDoublesNothing) {
    std::mt19937_64 random(5);
    std::uniform_real_distribution<double> radius(30.0, 100.0), place(-60.0, 60.0), any(-110.0, 110.0);
    for (int round = 0; round < 200; ++round) {
        // A star with a hole, cut by a box that may hold all, some or nothing of it, or share corners with
        // it.
        Ring star, hole;
        for (int i = 0; i < 40; ++i) {
            const double at = 0.15707963267948966 * i, r = radius(random);
            star.push_back({std::round(r * std::cos(at)), std::round(r * std::sin(at))});
            hole.push_back({0.25 * r * std::cos(at), 0.25 * r * std::sin(at)});
        }
        star.push_back(star.front());
        hole.push_back(hole.front());
        const Shape whole = Shape::of_area({star, hole});
        const double x = std::round(place(random)), y = std::round(place(random));
        const Box box{x, y, x + std::round(radius(random)), y + std::round(radius(random))};
        const auto cut = cut_by_box(whole, box);
        const Shape in = Shape::of_area(cut.inside), out = Shape::of_area(cut.outside);
        EXPECT_NEAR(area_of(polygons_of(in)) + area_of(polygons_of(out)), area_of(polygons_of(whole)), 1e-6);
        for (const auto& ring : cut.inside)
            for (const Point& p : ring) {
                EXPECT_TRUE(p.x >= box.min_x && p.x <= box.max_x && p.y >= box.min_y && p.y <= box.max_y);
                EXPECT_LT(whole.distance(p), 1e-9);
            }
        for (int i = 0; i < 50; ++i) {
            const Point p{any(random), any(random)};
            const bool boxed = p.x >= box.min_x && p.x < box.max_x && p.y >= box.min_y && p.y < box.max_y;
            EXPECT_EQ(in.contains(p), boxed && whole.contains(p));
            EXPECT_EQ(out.contains(p), !boxed && whole.contains(p));
        }
    }
}

TEST(Cut, SlitsAreFilledAndNothingElse) {
    const std::vector<PolygonRings> pair{{square(0, 0, 100)}, {square(100.4, 0, 100)}};
    EXPECT_NEAR(area_of(slits_filled(pair, 1.0)), 20'000.0 + 40.0, 1e-6);
    EXPECT_EQ(slits_filled(pair, 1.0).size(), 1U);
    EXPECT_NEAR(area_of(slits_filled(pair, 0.3)), 20'000.0, 1e-6);
    EXPECT_NEAR(area_of(slits_filled(holed, 1.0)), 9'600.0, 1e-6);
    EXPECT_TRUE(slits_filled({}, 1.0).empty());
}
