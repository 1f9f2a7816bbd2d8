// The same answer by other ways: dense sampling, GEOS, geodesic distances.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "dangerline/geo/reach.hpp"
#include "geo/scenes.hpp"

using namespace dangerline::geo;

namespace {

bool covered(const std::vector<Span>& spans, double metres, double slack = 0.0) {
    return std::any_of(spans.begin(), spans.end(),
                       [&](const Span& s) { return s.from - slack <= metres && metres <= s.to + slack; });
}

bool covers(const std::vector<Span>& outer, const std::vector<Span>& inner, double slack) {
    return std::all_of(inner.begin(), inner.end(), [&](const Span& i) {
        return std::any_of(outer.begin(), outer.end(),
                           [&](const Span& o) { return o.from - slack <= i.from && i.to <= o.to + slack; });
    });
}

Shape some_shape(scenes::Random& random, int kind) {
    if (kind == 0)
        return Shape::of_points(random.chain(1 + random.below(6)));
    if (kind == 1)
        return Shape::of_lines({random.chain(1 + random.below(90)), random.chain(1 + random.below(3))});
    if (kind == 2) // rings that cross themselves and each other: even-odd
        return Shape::of_area({random.chain(3 + random.below(8)), random.chain(3 + random.below(5))});
    return Shape::of_area({random.star(random.point(), 300, 700, 10 + random.below(200)),
                           random.star(random.point(), 20, 100, 5 + random.below(20))});
}

Leg some_leg(scenes::Random& random, const Shape& shape, int kind) {
    const auto corner = [&] {
        return shape
            .points()[static_cast<std::size_t>(random.below(static_cast<int>(shape.points().size())))];
    };
    if (kind == 1) // through two corners, beyond both
    {
        const Point a = corner(), b = corner();
        return {{2 * a.x - b.x, 2 * a.y - b.y}, {2 * b.x - a.x, 2 * b.y - a.y}};
    }
    if (kind == 2) // from corner to corner
        return {corner(), corner()};
    if (kind == 3) // along an edge, on part of it
    {
        const auto i = static_cast<std::size_t>(random.below(static_cast<int>(shape.points().size())));
        const Point a = shape.points()[i], b = shape.points()[(i + 1) % shape.points().size()];
        return {{a.x + 0.25 * (b.x - a.x), a.y + 0.25 * (b.y - a.y)},
                {a.x + 1.5 * (b.x - a.x), a.y + 1.5 * (b.y - a.y)}};
    }
    if (kind == 4) { // no length
        const Point a = random.point();
        return {a, a};
    }
    return {random.point(), random.point()};
}

// Inside by winding-free counting of crossings of a slanted ray, edge by edge: another way than Shape's.
double plain_distance(const Shape& shape, Point p) {
    double best = std::numeric_limits<double>::infinity();
    bool inside = false;
    const Point far{p.x + 9876.54321, p.y + 3456.78912};
    const auto side = [](Point a, Point b, Point c) {
        return (b.x - a.x) * (c.y - a.y) - (b.y - a.y) * (c.x - a.x);
    };
    for (std::size_t k = 0; k < shape.part_count(); ++k) {
        const auto part = shape.part(k);
        for (std::size_t i = 0; i < part.size(); ++i) {
            best = std::min(best, std::hypot(p.x - part[i].x, p.y - part[i].y));
            if (i == 0)
                continue;
            const Point a = part[i - 1], b = part[i];
            const double l = std::hypot(b.x - a.x, b.y - a.y);
            const double along = l > 0 ? ((p.x - a.x) * (b.x - a.x) + (p.y - a.y) * (b.y - a.y)) / l : -1.0;
            if (along > 0 && along < l)
                best = std::min(best, std::abs(side(a, b, p)) / l);
            if ((side(p, far, a) > 0) != (side(p, far, b) > 0) &&
                (side(a, b, p) > 0) != (side(a, b, far) > 0))
                inside = !inside;
        }
    }
    return shape.kind() == ShapeKind::area && inside ? 0.0 : best;
}

void check_by_sampling(const Leg& leg, const Shape& shape, double radius,
                       double (*distance)(const Shape&, Point)) {
    const auto spans = reach(leg, shape, radius);
    const double length = leg.length();
    for (std::size_t i = 0; i < spans.size(); ++i) {
        ASSERT_LE(spans[i].from, spans[i].to);
        ASSERT_GE(spans[i].from, 0.0);
        ASSERT_LE(spans[i].to, length);
        if (i > 0) {
            ASSERT_GT(spans[i].from, spans[i - 1].to);
        }
        for (const double end : {spans[i].from, spans[i].to})
            if (end > 0 && end < length) {
                ASSERT_NEAR(distance(shape, leg.at(end)), radius, 1e-6);
            } else {
                ASSERT_LE(distance(shape, leg.at(end)), radius + 1e-6);
            }
    }
    for (int i = 0; i <= 200; ++i) {
        const double at = std::min(length, length * i / 200);
        const double away = distance(shape, leg.at(at));
        if (away <= radius - 1e-6) {
            ASSERT_TRUE(covered(spans, at))
                << "missed at " << at << " of " << length << ", " << away << " off";
        } else if (away > radius + 1e-6) {
            ASSERT_FALSE(covered(spans, at))
                << "claimed at " << at << " of " << length << ", " << away << " off";
        }
    }
    // nearest() must tell the same story.
    const Nearest near = nearest(leg, shape);
    if (spans.empty()) {
        ASSERT_GT(near.metres, radius);
    } else if (radius == 0.0) {
        ASSERT_EQ(near.metres, 0.0);
    }
    ASSERT_NEAR(distance(shape, leg.at(near.along)), near.metres, 1e-6);
    if (near.metres > 0.0) {
        const Point at = leg.at(near.along);
        ASSERT_NEAR(std::hypot(at.x - near.on_shape.x, at.y - near.on_shape.y), near.metres, 1e-6);
        ASSERT_TRUE(reach(leg, shape, near.metres * (1 - 1e-7) - 1e-6).empty());
        ASSERT_FALSE(reach(leg, shape, near.metres * (1 + 1e-12)).empty());
    }
}

std::vector<Span> by_geos(const Leg& leg, const scenes::Geometry& geometry, double radius) {
    const scenes::Geometry zone(GEOSBuffer_r(scenes::geos(), geometry.get(), radius, 64));
    const auto line = scenes::line(std::vector{leg.from, leg.to});
    const scenes::Geometry cut(GEOSIntersection_r(scenes::geos(), zone.get(), line.get()));
    std::vector<Span> spans;
    for (int i = 0; i < GEOSGetNumGeometries_r(scenes::geos(), cut.get()); ++i) {
        const auto* part = GEOSGetGeometryN_r(scenes::geos(), cut.get(), i);
        if (GEOSGeomTypeId_r(scenes::geos(), part) != GEOS_LINESTRING || GEOSisEmpty_r(scenes::geos(), part))
            continue;
        const auto* s = GEOSGeom_getCoordSeq_r(scenes::geos(), part);
        unsigned count = 0;
        GEOSCoordSeq_getSize_r(scenes::geos(), s, &count);
        Point a, b;
        GEOSCoordSeq_getXY_r(scenes::geos(), s, 0, &a.x, &a.y);
        GEOSCoordSeq_getXY_r(scenes::geos(), s, count - 1, &b.x, &b.y);
        const double from = Leg{leg.from, a}.length(), to = Leg{leg.from, b}.length();
        spans.push_back({std::min(from, to), std::max(from, to)});
    }
    join(spans, 1e-6);
    return spans;
}

} // namespace

TEST(ReachAtRandom, agrees_with_dense_sampling) {
    std::size_t reached = 0;
    for (unsigned seed = 0; seed < 4000; ++seed) {
        scenes::Random random(seed, 800, seed % 4 == 3 ? 0 : 50);
        const Shape shape = some_shape(random, static_cast<int>(seed / 5 % 4));
        const Leg leg = some_leg(random, shape, static_cast<int>(seed % 5));
        const double radius = std::vector{0.0, 15.0, 50.0, 300.0}[static_cast<std::size_t>(random.below(4))];
        SCOPED_TRACE(seed);
        check_by_sampling(leg, shape, radius, plain_distance);
        if (HasFatalFailure())
            return;
        reached += reach(leg, shape, radius).size();
    }
    EXPECT_GT(reached, 2000U);
}

TEST(ReachAtRandom, agrees_with_the_shapes_own_distance_on_large_rings) {
    for (unsigned seed = 0; seed < 200; ++seed) {
        scenes::Random random(seed, 2000, 0);
        const auto shape =
            Shape::of_area({random.star({0, 0}, 900, 1000, 3000), random.star({100, 0}, 300, 400, 500),
                            random.star({100, 0}, 100, 200, 100)});
        SCOPED_TRACE(seed);
        check_by_sampling({random.point(), random.point()}, shape, random.below(3) * 20.0,
                          [](const Shape& s, Point p) { return s.distance(p); });
        if (HasFatalFailure())
            return;
    }
}

// GEOS's arcs are inscribed and its buffers fill dents of up to 1 % of the radius, so the truth lies between
// a smaller and a larger buffer.
TEST(ReachAtRandom, lies_between_two_geos_buffers) {
    std::size_t reached = 0;
    for (unsigned seed = 0; seed < 600; ++seed) {
        scenes::Random random(seed, 800, 0);
        Shape shape;
        if (seed % 3 == 0)
            shape = Shape::of_points(random.chain(8));
        else if (seed % 3 == 1)
            shape = Shape::of_lines({random.chain(6)});
        else
            shape = Shape::of_area({random.star({0, 0}, 300, 600, 20), random.star({0, 0}, 100, 250, 10)});
        const Leg leg = some_leg(random, shape, seed % 2 ? 1 : 0);
        if (leg.length() == 0.0)
            continue; // GEOS has no line without length
        const double radius = 30.0 + random.below(3) * 35.0;
        const auto spans = reach(leg, shape, radius);
        const auto geometry = scenes::geometry(shape);
        EXPECT_TRUE(covers(spans, by_geos(leg, geometry, 0.985 * radius), 1e-6)) << seed;
        EXPECT_TRUE(covers(by_geos(leg, geometry, radius / std::cos(M_PI / 256) + 1e-3), spans, 1e-6))
            << seed;
        reached += spans.size();
    }
    EXPECT_GT(reached, 400U);
}

TEST(ReachAtRandom, beyond_a_half_plane_agrees_with_a_clipped_shape) {
    for (unsigned seed = 0; seed < 1500; ++seed) {
        scenes::Random random(seed, 800, 50);
        const auto chain = random.chain(2 + random.below(8));
        const double angle = 2 * M_PI * random.unit();
        const HalfPlane half{random.point(), {std::cos(angle), std::sin(angle)}};
        const Leg leg{random.point(), random.point()};
        const double radius = 40;
        // The chain as so many points that lie beyond.
        std::vector<Point> dense;
        for (std::size_t i = 1; i < chain.size(); ++i)
            for (int k = 0; k <= 2000; ++k) {
                const Point p =
                    Leg{chain[i - 1], chain[i]}.at(Leg{chain[i - 1], chain[i]}.length() * k / 2000);
                if ((p.x - half.origin.x) * half.direction.x + (p.y - half.origin.y) * half.direction.y >= 0)
                    dense.push_back(p);
            }
        const auto spans = reach(leg, Shape::of_lines({chain}), radius, half);
        EXPECT_TRUE(covers(spans, reach(leg, Shape::of_points(dense), radius), 1e-6)) << seed;
        EXPECT_TRUE(covers(reach(leg, Shape::of_points(dense), radius + 1.2), spans, 1e-6)) << seed;
    }
}

TEST(ReachAtRandom, a_wider_radius_never_reaches_less) {
    for (unsigned seed = 0; seed < 2000; ++seed) {
        scenes::Random random(seed, 800, 50);
        const Shape shape = some_shape(random, static_cast<int>(seed % 4));
        const Leg leg = some_leg(random, shape, static_cast<int>(seed / 4 % 5));
        const double radius = random.below(4) * 25.0;
        EXPECT_TRUE(covers(reach(leg, shape, radius + 10), reach(leg, shape, radius), 1e-9)) << seed;
        const Leg back{leg.to, leg.from};
        const auto there = reach(leg, shape, radius), again = reach(back, shape, radius);
        ASSERT_EQ(there.size(), again.size()) << seed;
        for (std::size_t i = 0; i < there.size(); ++i) {
            // Where the line only grazes a disc, rounding of 1e-11 m shows as 1e-4 m along it.
            EXPECT_NEAR(leg.length() - again[there.size() - 1 - i].to, there[i].from, 2e-4) << seed;
            EXPECT_NEAR(leg.length() - again[there.size() - 1 - i].from, there[i].to, 2e-4) << seed;
        }
    }
}

namespace {

// A route in the plane, leg by leg, against distances on the ellipsoid.
void check_on_the_ellipsoid(Position centre, const std::vector<Position>& route,
                            const std::vector<Position>& danger) {
    const Plane plane(centre);
    const double radius = 400, max_sagitta = 0.05;
    const auto points = plane.rhumb_chain(danger, max_sagitta);
    const Shape shape = danger.size() == 1 ? Shape::of_points(points) : Shape::of_lines({points});
    std::vector<Position> dense;
    for (std::size_t i = 0; i < danger.size(); ++i) {
        dense.push_back(danger[i]);
        if (i + 1 == danger.size())
            break;
        const Course c = rhumb_between(danger[i], danger[i + 1]);
        for (int k = 1; k < 200; ++k)
            dense.push_back(rhumb_destination(danger[i], c.start_deg, c.metres * k / 200));
    }
    int inside = 0, outside = 0;
    for (std::size_t i = 0; i + 1 < route.size(); ++i) {
        const auto chain = plane.rhumb_chain(std::vector{route[i], route[i + 1]}, max_sagitta);
        std::vector<Span> spans;
        double sum = 0.0;
        for (std::size_t k = 0; k + 1 < chain.size(); ++k) {
            const Leg leg{chain[k], chain[k + 1]};
            for (const Span& s : reach(leg, shape, radius))
                spans.push_back({sum + s.from, sum + s.to});
            sum += leg.length();
        }
        join(spans, 1e-6);
        const Course course = rhumb_between(route[i], route[i + 1]);
        for (int s = 0; s <= 150; ++s) {
            const Position at = rhumb_destination(route[i], course.start_deg, course.metres * s / 150);
            double away = 1e12;
            for (const Position p : dense)
                away = std::min(away, geodesic_between(at, p).metres);
            const double along = sum * s / 150;
            if (away < radius - 3.0 && ++inside) {
                EXPECT_TRUE(covered(spans, along, 1e-6)) << i << " " << along << " " << away;
            } else if (away > radius + 3.0 && ++outside) {
                EXPECT_FALSE(covered(spans, along)) << i << " " << along << " " << away;
            }
        }
    }
    EXPECT_GT(inside, 20);
    EXPECT_GT(outside, 20);
}

} // namespace

TEST(ReachOnTheEllipsoid, holds_across_180_degrees_and_at_75_north) {
    for (const Position centre :
         {Position{-5, 50}, Position{179.98, -17}, Position{-179.99, 52}, Position{20, 75}}) {
        const auto place = [&](double course, double metres) {
            return geodesic_destination(centre, course, metres);
        };
        // Doubled waypoint, leg without length, U-turn; longitudes as a file would give them.
        std::vector<Position> route{place(270, 3000), place(80, 4000), place(80, 4000), place(265, 2000),
                                    place(10, 5000)};
        for (auto& p : route)
            p.lon_deg = normal_longitude(p.lon_deg);
        check_on_the_ellipsoid(centre, route, {place(45, 300)});
        check_on_the_ellipsoid(centre, route, {place(315, 2500), place(100, 1500), place(60, 3000)});
    }
}
