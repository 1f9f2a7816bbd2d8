#include "dangerline/geo/triangulation.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <random>
#include <set>

namespace dangerline::geo {
namespace {

using Points = std::vector<Point>;

long double turn(Point a, Point b, Point c) {
    return (static_cast<long double>(b.x) - a.x) * (static_cast<long double>(c.y) - a.y) -
           (static_cast<long double>(b.y) - a.y) * (static_cast<long double>(c.x) - a.x);
}

/// Distance of d inside the circle around a, b, c, by its centre; negative outside.
double depth_in_circle(Point a, Point b, Point c, Point d) {
    const long double bx = static_cast<long double>(b.x) - a.x, by = static_cast<long double>(b.y) - a.y;
    const long double cx = static_cast<long double>(c.x) - a.x, cy = static_cast<long double>(c.y) - a.y;
    const long double twice = 2 * (bx * cy - by * cx);
    const long double bb = bx * bx + by * by, cc = cx * cx + cy * cy;
    const long double x = (cy * bb - by * cc) / twice, y = (bx * cc - cx * bb) / twice;
    return static_cast<double>(std::hypot(x, y) - std::hypot(d.x - a.x - x, d.y - a.y - y));
}

double hull_area(Points points) {
    std::sort(points.begin(), points.end(),
              [](Point a, Point b) { return a.x != b.x ? a.x < b.x : a.y < b.y; });
    Points hull;
    for (int side = 0; side < 2; ++side) {
        const std::size_t from = hull.size();
        for (const Point& p : points) {
            while (hull.size() >= from + 2 && turn(hull[hull.size() - 2], hull.back(), p) <= 0)
                hull.pop_back();
            hull.push_back(p);
        }
        hull.pop_back();
        std::reverse(points.begin(), points.end());
    }
    long double twice = 0;
    for (std::size_t i = 1; i + 1 < hull.size(); ++i)
        twice += turn(hull[0], hull[i], hull[i + 1]);
    return static_cast<double>(twice / 2);
}

double covered(const Triangulation& made) {
    long double twice = 0;
    for (const auto& [a, b, c] : made.triangles)
        twice += turn(made.points[a], made.points[b], made.points[c]);
    return static_cast<double>(twice / 2);
}

/// Counter-clockwise, each side once in each direction, no site inside a circle, nothing covered twice.
void expect_delaunay(const Triangulation& made, double least_covered) {
    std::set<std::pair<std::uint32_t, std::uint32_t>> sides;
    for (const auto& t : made.triangles) {
        const Point a = made.points[t[0]], b = made.points[t[1]], c = made.points[t[2]];
        EXPECT_GE(turn(a, b, c), -1e-9L);
        for (std::size_t k = 0; k < 3; ++k)
            EXPECT_TRUE(sides.insert({t[k], t[(k + 1) % 3]}).second);
        const double longest = std::sqrt(std::max({std::pow(b.x - a.x, 2) + std::pow(b.y - a.y, 2),
                                                   std::pow(c.x - a.x, 2) + std::pow(c.y - a.y, 2),
                                                   std::pow(c.x - b.x, 2) + std::pow(c.y - b.y, 2)}));
        if (turn(a, b, c) < 1e-6L * longest * longest)
            continue; // the centre of its circle can't be told
        for (const Point& p : made.points)
            EXPECT_LT(depth_in_circle(a, b, c, p), 1e-6);
    }
    EXPECT_LE(covered(made), hull_area(made.points) * (1.0 + 1e-9));
    EXPECT_GE(covered(made), hull_area(made.points) * least_covered);
}

/// Three points with no other in their circle are a triangle, where the circle is small enough to be kept.
void expect_all_empty_circles(const Triangulation& made, double wide) {
    std::set<std::set<std::uint32_t>> there;
    for (const auto& t : made.triangles)
        there.insert({t[0], t[1], t[2]});
    const auto& p = made.points;
    for (std::uint32_t i = 0; i < p.size(); ++i)
        for (std::uint32_t k = i + 1; k < p.size(); ++k)
            for (std::uint32_t m = k + 1; m < p.size(); ++m) {
                // Radius of the circle: product of the sides over four times the area.
                const double area = std::abs(static_cast<double>(turn(p[i], p[k], p[m]))) / 2.0;
                const double sides = std::hypot(p[i].x - p[k].x, p[i].y - p[k].y) *
                                     std::hypot(p[k].x - p[m].x, p[k].y - p[m].y) *
                                     std::hypot(p[m].x - p[i].x, p[m].y - p[i].y);
                if (sides > 4.0 * area * wide)
                    continue;
                bool empty = true;
                for (std::uint32_t n = 0; n < p.size() && empty; ++n)
                    empty = n == i || n == k || n == m || depth_in_circle(p[i], p[k], p[m], p[n]) < 0.0;
                EXPECT_EQ(there.contains({i, k, m}), empty);
            }
}

Points random_points(std::mt19937_64& random, std::size_t count, double wide, Point from) {
    std::uniform_real_distribution<double> any(0.0, wide);
    Points points;
    for (std::size_t i = 0; i < count; ++i)
        points.push_back({from.x + any(random), from.y + any(random)});
    return points;
}

TEST(Triangulation, NoSiteLiesInACircle) {
    std::mt19937_64 random(7);
    for (const double wide : {0.5, 100.0, 90'000.0})
        for (const std::size_t count : {3U, 4U, 10U, 40U, 250U}) {
            const auto points = random_points(random, count, wide, {-40'000.0, 30'000.0});
            const auto made = conforming_triangulation(points, {});
            ASSERT_TRUE(made);
            EXPECT_EQ(made->points.size(), count);
            expect_delaunay(*made, count > 100 ? 0.99 : 0.0);
            if (count <= 40)
                expect_all_empty_circles(*made, wide);
        }
}

TEST(Triangulation, TakesPointsInRowsAndOnCircles) {
    Points grid, ring, line;
    for (int i = 0; i < 15; ++i)
        for (int k = 0; k < 15; ++k)
            grid.push_back({10.0 * i, 10.0 * k});
    for (int i = 0; i < 60; ++i)
        ring.push_back(
            {1000.0 * std::cos(i * 0.1047197551196598), 1000.0 * std::sin(i * 0.1047197551196598)});
    for (int i = 0; i < 40; ++i)
        line.push_back({0.1 * i, 0.3 * i});
    expect_delaunay(*conforming_triangulation(grid, {}), 1.0 - 1e-12);
    EXPECT_EQ(conforming_triangulation(grid, {})->triangles.size(), 2U * 14U * 14U);
    expect_delaunay(*conforming_triangulation(ring, {}), 0.99);
    EXPECT_NEAR(covered(*conforming_triangulation(line, {})), 0.0, 1e-9);
}

/// Every given edge must be found as sides one behind the other.
TEST(Triangulation, KeepsGivenEdges) {
    std::mt19937_64 random(11);
    for (int round = 0; round < 20; ++round) {
        // A star whose rim and a line inside it are given, with soundings thrown in.
        Points points;
        std::vector<PointPair> edges;
        std::uniform_real_distribution<double> radius(400.0, 1000.0), inside(-250.0, 250.0);
        constexpr std::uint32_t corners = 80;
        for (std::uint32_t i = 0; i < corners; ++i) {
            const double at = 2.0 * 3.14159265358979 * i / corners, r = radius(random);
            points.push_back({r * std::cos(at), r * std::sin(at)});
            edges.emplace_back(i, (i + 1) % corners);
        }
        for (int i = 0; i < 200; ++i)
            points.push_back({inside(random), inside(random)});
        const auto made = conforming_triangulation(points, edges);
        ASSERT_TRUE(made);
        ASSERT_EQ(made->split_edge.size() + points.size(), made->points.size());
        EXPECT_GT(made->split_edge.size(), 0U); // or the test asks nothing
        expect_delaunay(*made, 0.9);
        std::map<std::size_t, Points> added;
        for (std::size_t i = 0; i < made->split_edge.size(); ++i)
            added[made->split_edge[i]].push_back(made->points[points.size() + i]);
        std::set<std::pair<std::pair<double, double>, std::pair<double, double>>> sides;
        for (const auto& t : made->triangles)
            for (std::size_t k = 0; k < 3; ++k)
                for (const auto& [from, to] :
                     {std::pair(t[k], t[(k + 1) % 3]), std::pair(t[(k + 1) % 3], t[k])})
                    sides.insert({{made->points[from].x, made->points[from].y},
                                  {made->points[to].x, made->points[to].y}});
        for (std::size_t e = 0; e < edges.size(); ++e) {
            const Point a = points[edges[e].first], b = points[edges[e].second];
            Points chain = added[e];
            chain.insert(chain.begin(), a);
            chain.push_back(b);
            std::sort(chain.begin(), chain.end(), [&](Point p, Point q) {
                return std::hypot(p.x - a.x, p.y - a.y) < std::hypot(q.x - a.x, q.y - a.y);
            });
            for (std::size_t i = 1; i < chain.size(); ++i)
                EXPECT_TRUE(sides.contains({{chain[i - 1].x, chain[i - 1].y}, {chain[i].x, chain[i].y}}));
        }
    }
}

TEST(Triangulation, GivesUpWhereEdgesCross) {
    EXPECT_FALSE(conforming_triangulation({{0, 0}, {10, 10}, {0, 10}, {10, 0.3}}, {{0, 1}, {2, 3}}));
    // Their middles are one point, whose depth would be that of either.
    EXPECT_FALSE(conforming_triangulation({{0, 0}, {10, 10}, {0, 10}, {10, 0}}, {{0, 1}, {2, 3}}));
    // A point in the middle of an edge.
    EXPECT_FALSE(conforming_triangulation({{0, 0}, {10, 0}, {5, 8}, {5, -8}, {5, 0}}, {{0, 1}}));
    EXPECT_FALSE(conforming_triangulation({{0, 0}, {10, 0}, {std::nan(""), 8}}, {}));
    EXPECT_FALSE(conforming_triangulation({{0, 0}, {1, 1}}, {}));
}

TEST(Triangulation, TakesAPointTwiceAsOne) {
    const auto made = conforming_triangulation({{0, 0}, {10, 0}, {10, 10}, {10, 10}, {0, 9}}, {});
    ASSERT_TRUE(made);
    EXPECT_EQ(made->points.size(), 5U);
    EXPECT_NEAR(covered(*made), 95.0, 1e-9);
}

} // namespace
} // namespace dangerline::geo
