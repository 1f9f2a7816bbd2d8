// The surface against bottoms that are known everywhere: plane, cone, wavy bank. Analytic, nothing published.
#include <gtest/gtest.h>

#include "dangerline/geo/reach.hpp"
#include "dangerline/seabed/surface.hpp"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numbers>
#include <random>

using namespace dangerline;
using namespace dangerline::seabed;

namespace {

using Bottom = std::function<double(geo::Point)>;

/// A rectangle whose edges carry the depth of the bottom at their middle, cut every 50 m, and soundings drawn
/// at random.
AreaDepths sampled(const Bottom& bottom, double width, double height, double shoalest, double deepest,
                   int soundings) {
    AreaDepths out;
    out.shoalest_m = shoalest;
    out.deepest_m = deepest;
    geo::Ring ring;
    const std::vector<geo::Point> corners{{0, 0}, {width, 0}, {width, height}, {0, height}, {0, 0}};
    for (std::size_t i = 0; i + 1 < corners.size(); ++i) {
        const double length = std::hypot(corners[i + 1].x - corners[i].x, corners[i + 1].y - corners[i].y);
        const int pieces = static_cast<int>(length / 50.0);
        for (int k = 0; k < pieces; ++k) {
            const double t = static_cast<double>(k) / pieces;
            ring.push_back({corners[i].x + t * (corners[i + 1].x - corners[i].x),
                            corners[i].y + t * (corners[i + 1].y - corners[i].y)});
        }
    }
    ring.push_back(ring.front());
    for (std::size_t i = 0; i + 1 < ring.size(); ++i) {
        // The deeper end: the shoaler of two edges counts at each vertex, which is then the vertex's own
        // depth or less.
        out.edge_depth_m.push_back(std::max(bottom(ring[i]), bottom(ring[i + 1])));
        out.edge_source.push_back(Source::edge);
    }
    out.area = {ring};
    std::mt19937 random(11);
    std::uniform_real_distribution<double> x(5.0, width - 5.0), y(5.0, height - 5.0);
    for (int i = 0; i < soundings; ++i) {
        const geo::Point p{x(random), y(random)};
        out.soundings.push_back({p, bottom(p), Source::sounding, std::to_string(i)});
    }
    return out;
}

/// Largest difference over a grid inside the rim, and the longest triangle side there.
struct Error {
    double deepest = 0.0, shoalest = 0.0, longest_side = 0.0;
};
Error error_inside(const Surface& surface, const Bottom& bottom, double width, double height, double rim) {
    Error e;
    for (double x = rim; x <= width - rim; x += 11.0)
        for (double y = rim; y <= height - rim; y += 13.0) {
            const auto depth = surface.depth({x, y});
            EXPECT_TRUE(depth.has_value()) << x << " " << y;
            const double difference = depth.value_or(0.0) - bottom({x, y});
            e.deepest = std::max(e.deepest, difference);
            e.shoalest = std::max(e.shoalest, -difference);
        }
    for (const auto& t : surface.triangles())
        for (std::size_t k = 0; k < 3; ++k) {
            const auto a = surface.vertices()[t[k]].at, b = surface.vertices()[t[(k + 1) % 3]].at;
            e.longest_side = std::max(e.longest_side, std::hypot(a.x - b.x, a.y - b.y));
        }
    return e;
}

double area_of(const geo::Shape& shape) {
    return shape.empty() ? 0.0 : geo::area_of(geo::polygons_of(shape));
}

} // namespace

TEST(Levels, are_integers_rounded_to_the_shoal_side) {
    for (int dm = -50; dm <= 300; ++dm) { // -5.0 to 30.0 m
        EXPECT_EQ(level_at_or_above(dm / 10.0), dm);
        EXPECT_EQ(level_at_or_above(dm / 10.0 + 0.049), dm);
        EXPECT_EQ(level_at_or_above(dm / 10.0 - 0.001), dm - 1);
    }
    for (int feet = -16; feet <= 98; ++feet) // feet are never taken deeper
        EXPECT_LE(level_at_or_above(feet * 0.3048) / 10.0, feet * 0.3048 + 1e-9);
}

TEST(Surface, a_plane_is_itself) {
    const Bottom plane = [](geo::Point p) { return 1.0 + 0.002 * p.x + 0.001 * p.y; };
    const auto surface = Surface::build(sampled(plane, 2000.0, 1000.0, 0.0, 9.0, 300));
    ASSERT_TRUE(surface.has_value());
    // The rim carries the deeper end of 50 m, at most 0.1 m deeper or shoaler; inside there is nothing but
    // the plane.
    const Error e = error_inside(*surface, plane, 2000.0, 1000.0, 0.0);
    EXPECT_LE(e.deepest, 0.002 * 50.0 + 1e-9);
    EXPECT_LE(e.shoalest, 0.002 * 50.0 + 1e-9);
}

// Linear interpolation over a triangle with sides up to L on a bottom of curvature k is off by at most k L^2
// / 3 (the circle around it has a radius of L / sqrt 3 at most, and the error is k R^2 / 2 along any line
// through it, k in the worst direction; two directions add).
TEST(Surface, a_wavy_bank_is_held_within_the_stated_bound) {
    constexpr double height = 1.5, length = 800.0;
    const double wave = 2.0 * std::numbers::pi / length;
    const Bottom bank = [&](geo::Point p) {
        return 5.0 - height * std::sin(wave * p.x) * std::sin(wave * p.y);
    };
    for (const int soundings : {500, 2000, 8000}) {
        const auto surface = Surface::build(sampled(bank, 1600.0, 1600.0, 3.0, 7.0, soundings));
        ASSERT_TRUE(surface.has_value());
        const Error e = error_inside(*surface, bank, 1600.0, 1600.0, 100.0);
        const double curvature = height * wave * wave;
        const double bound = curvature * e.longest_side * e.longest_side / 3.0;
        EXPECT_LE(e.deepest, bound) << soundings;
        EXPECT_LE(e.shoalest, bound) << soundings;
        EXPECT_LT(e.deepest, soundings == 8000 ? 0.1 : 1.0);
    }
}

TEST(Surface, a_cone_shoal_is_never_deeper_than_its_soundings_tell) {
    const Bottom cone = [](geo::Point p) { return 1.0 + 0.01 * std::hypot(p.x - 500.0, p.y - 500.0); };
    auto depths = sampled(cone, 1000.0, 1000.0, 0.5, 9.0, 800);
    depths.soundings.push_back({{500.0, 500.0}, 1.0, Source::sounding, "TOP"});
    const auto surface = Surface::build(depths);
    ASSERT_TRUE(surface.has_value());
    EXPECT_EQ(surface->depth({500.0, 500.0}), 1.0);
    EXPECT_EQ(surface->nearest_corner({501.0, 501.0}).lnam, "TOP");
    // A cone bends towards the deep away from its top: a triangle lies below it by no more than slope x side.
    EXPECT_LE(error_inside(*surface, cone, 1000.0, 1000.0, 50.0).deepest, 0.01 * 120.0);
}

TEST(Surface, keeps_to_the_range_of_its_area_and_to_the_shoaler_of_two) {
    const Bottom wild = [](geo::Point p) { return 4.0 + 3.0 * std::sin(p.x / 37.0) * std::cos(p.y / 23.0); };
    auto depths = sampled(wild, 900.0, 700.0, 3.0, 5.0, 700); // soundings beyond the range on both sides
    depths.soundings.push_back({{450.0, 350.0}, 4.9, Source::sounding, "DEEP"});
    depths.soundings.push_back({{450.0, 350.0}, 3.4, Source::sounding, "SHOAL"});
    const auto surface = Surface::build(depths);
    ASSERT_TRUE(surface.has_value());
    for (const auto& v : surface->vertices()) {
        EXPECT_GE(v.depth_m, 3.0);
        EXPECT_LE(v.depth_m, 5.0);
    }
    EXPECT_EQ(surface->depth({450.0, 350.0}), 3.4);
    std::swap(depths.soundings.back(), depths.soundings[depths.soundings.size() - 2]);
    EXPECT_EQ(Surface::build(depths)->depth({450.0, 350.0}), 3.4);
}

TEST(Surface, every_edge_and_contour_is_a_chain_of_triangle_sides) {
    std::mt19937 random(5);
    std::uniform_real_distribution<double> jitter(-20.0, 20.0);
    auto depths = sampled([](geo::Point) { return 2.0; }, 1000.0, 600.0, 0.0, 5.0, 900);
    AreaDepths::Contour contour{{}, 3.0, "C"};
    for (double x = 50.0; x <= 950.0; x += 30.0)
        contour.line.push_back({x, 300.0 + jitter(random)});
    depths.contours.push_back(contour);
    const auto surface = Surface::build(depths);
    ASSERT_TRUE(surface.has_value());
    // Along a constraint the depth is that of the constraint, however the soundings beside it lie.
    for (std::size_t i = 0; i + 1 < contour.line.size(); ++i)
        for (const double t : {0.0, 0.25, 0.5, 0.9}) {
            const geo::Point a = contour.line[i], b = contour.line[i + 1];
            const auto depth = surface->depth({a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)});
            ASSERT_TRUE(depth.has_value());
            EXPECT_NEAR(*depth, 3.0, 1e-6);
        }
}

TEST(Surface, isobaths_are_closed_nested_and_on_their_level) {
    const Bottom bank = [](geo::Point p) {
        return 4.0 - 3.5 * std::exp(-(std::pow(p.x - 600.0, 2) + std::pow(p.y - 400.0, 2)) / 60000.0) +
               0.3 * std::sin(p.x / 40.0);
    };
    const auto surface = Surface::build(sampled(bank, 1200.0, 900.0, 0.0, 5.0, 3000));
    ASSERT_TRUE(surface.has_value());
    double before = 0.0;
    const double whole = area_of(surface->no_deeper_than(60));
    EXPECT_NEAR(whole, 1200.0 * 900.0, 1e-3);
    for (Decimetres level = 0; level <= 50; ++level) {
        const geo::Shape area = surface->no_deeper_than(level);
        const double now = area_of(area);
        EXPECT_GE(now, before - 1e-6) << level;
        before = now;
        for (std::size_t k = 0; k < area.part_count(); ++k)
            EXPECT_EQ(area.part(k).front(), area.part(k).back());
        for (const auto& p : area.points()) {
            const bool on_rim = p.x <= 0.0 || p.y <= 0.0 || p.x >= 1200.0 || p.y >= 900.0;
            const auto depth = surface->depth(p);
            if (!on_rim && depth) {
                EXPECT_NEAR(*depth, level / 10.0, 1e-6);
            }
        }
    }
    EXPECT_NEAR(before, whole, 1e-3);
    // What lies inside is no deeper than the level, what lies outside is deeper.
    const geo::Shape shoal = surface->no_deeper_than(20);
    for (double x = 3.0; x < 1200.0; x += 17.0)
        for (double y = 3.0; y < 900.0; y += 19.0) {
            const auto depth = surface->depth({x, y});
            ASSERT_TRUE(depth.has_value());
            if (std::abs(*depth - 2.0) > 1e-6) {
                EXPECT_EQ(shoal.contains({x, y}), *depth < 2.0) << x << " " << y;
            }
        }
}

TEST(Surface, what_makes_no_triangles_is_none) {
    AreaDepths nothing;
    nothing.deepest_m = 1.0;
    EXPECT_FALSE(Surface::build(nothing).has_value());
    // Contours that cross can't both be kept.
    auto crossing = sampled([](geo::Point) { return 2.0; }, 300.0, 300.0, 0.0, 5.0, 5);
    crossing.contours.push_back({{{50.0, 50.0}, {251.0, 250.0}}, 1.0, "A"});
    crossing.contours.push_back({{{50.0, 253.0}, {250.0, 50.0}}, 3.0, "B"});
    EXPECT_FALSE(Surface::build(crossing).has_value());
}

TEST(Surface, sparse_parts_are_told_by_side_and_by_distrust) {
    const auto surface = Surface::build(sampled([](geo::Point) { return 2.0; }, 1000.0, 1000.0, 0.0, 5.0, 4));
    ASSERT_TRUE(surface.has_value());
    const auto nowhere = [](geo::Point) { return false; };
    EXPECT_NEAR(area_of(surface->sparse(1e9, nowhere)), 0.0, 1e-6);
    EXPECT_NEAR(area_of(surface->sparse(60.0, nowhere)), 1e6, 0.5e6);
    EXPECT_NEAR(area_of(surface->sparse(1e9, [](geo::Point) { return true; })), 1e6, 1.0);
}
