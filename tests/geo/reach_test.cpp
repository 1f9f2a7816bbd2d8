#include <gtest/gtest.h>

#include <cmath>

#include "dangerline/geo/reach.hpp"

using namespace dangerline::geo;

namespace {

void expect_spans(const std::vector<Span>& got, const std::vector<Span>& want, double tolerance = 1e-9) {
    ASSERT_EQ(got.size(), want.size());
    for (std::size_t i = 0; i < got.size(); ++i) {
        EXPECT_NEAR(got[i].from, want[i].from, tolerance);
        EXPECT_NEAR(got[i].to, want[i].to, tolerance);
    }
}

const Leg east{{0, 0}, {1000, 0}};
const Shape square = Shape::of_area({{{100, -50}, {200, -50}, {200, 50}, {100, 50}}});

} // namespace

TEST(Reach, disc_around_a_point) {
    expect_spans(reach(east, Shape::of_points({{500, 30}}), 50), {{460, 540}});
    expect_spans(reach(east, Shape::of_points({{-30, 0}, {1040, 0}}), 50), {{0, 20}, {990, 1000}});
    EXPECT_TRUE(reach(east, Shape::of_points({{500, 50.001}}), 50).empty());
    EXPECT_TRUE(reach(east, Shape(), 50).empty());
}

TEST(Reach, touching_at_exactly_the_radius_counts) {
    expect_spans(reach(east, Shape::of_points({{500, 50}}), 50), {{500, 500}});
    expect_spans(reach(east, Shape::of_points({{1050, 0}}), 50), {{1000, 1000}});
    expect_spans(reach(east, Shape::of_lines({{{300, -50}, {400, -50}}}), 50), {{300, 400}});
    // Turned by 30 degrees and moved off by 90 km, where coordinates are rounded.
    const double c = std::cos(M_PI / 6), s = std::sin(M_PI / 6);
    const auto turned = [&](double x, double y) { return Point{9e4 + c * x - s * y, -7e4 + s * x + c * y}; };
    const Leg leg{turned(0, 0), turned(1000, 0)};
    expect_spans(reach(leg, Shape::of_points({turned(500, 50)}), 50), {{500, 500}}, 2e-4);
    expect_spans(reach(leg, Shape::of_lines({{turned(300, -50), turned(400, -50)}}), 50), {{300, 400}}, 2e-4);
}

TEST(Reach, strip_along_a_line) {
    // A line at 45 degrees through (500, 0): the strip of half-width 50 is cut over 100 sqrt 2.
    const double half = 50 * std::sqrt(2.0);
    expect_spans(reach(east, Shape::of_lines({{{0, -500}, {1000, 500}}}), 50), {{500 - half, 500 + half}});
    expect_spans(reach(east, Shape::of_lines({{{500, -500}, {500, 500}}}), 0), {{500, 500}});
}

TEST(Reach, inside_of_an_area_counts_as_nought) {
    expect_spans(reach(east, square, 0), {{100, 200}});
    expect_spans(reach(east, square, 10), {{90, 210}});
    expect_spans(reach({{120, 0}, {150, 10}}, square, 0), {{0, std::hypot(30, 10)}});
    // Through a hole.
    const auto ring = Shape::of_area({{{100, -200}, {500, -200}, {500, 200}, {100, 200}},
                                      {{200, -100}, {400, -100}, {400, 100}, {200, 100}}});
    expect_spans(reach(east, ring, 20), {{80, 220}, {380, 520}});
}

TEST(Reach, through_corners_and_along_edges_of_an_area) {
    const auto diamond = Shape::of_area({{{100, 0}, {200, -50}, {300, 0}, {200, 50}}});
    expect_spans(reach(east, diamond, 0), {{100, 300}});
    // Touches a corner from outside.
    expect_spans(reach({{0, 50}, {1000, 50}}, diamond, 0), {{200, 200}});
    expect_spans(reach({{0, 50}, {1000, 50}}, square, 0), {{100, 200}});
    expect_spans(reach({{0, -50}, {1000, -50}}, square, 0), {{100, 200}});
    // Along the middle edge of a step.
    const auto step = Shape::of_area({{{100, -50}, {300, -50}, {300, 50}, {200, 50}, {200, 0}, {100, 0}}});
    expect_spans(reach(east, step, 0), {{100, 300}});
}

TEST(Reach, leg_without_length) {
    const Leg still{{500, 0}, {500, 0}};
    expect_spans(reach(still, Shape::of_points({{500, 50}}), 50), {{0, 0}});
    EXPECT_TRUE(reach(still, Shape::of_points({{500, 50.01}}), 50).empty());
    expect_spans(reach({{150, 0}, {150, 0}}, square, 0), {{0, 0}});
    EXPECT_TRUE(reach({{250, 0}, {250, 0}}, square, 0).empty());
}

TEST(Reach, beyond_a_half_plane_only) {
    const HalfPlane north_of_100{{0, 100}, {0, 1}};
    const auto pole = Shape::of_lines({{{500, -300}, {500, 300}}});
    EXPECT_TRUE(reach(east, pole, 99, north_of_100).empty());
    expect_spans(reach(east, pole, 125, north_of_100), {{425, 575}});
    EXPECT_TRUE(reach(east, Shape::of_points({{500, 99}}), 200, north_of_100).empty());
    expect_spans(reach(east, Shape::of_points({{500, 100}}), 125, north_of_100), {{425, 575}});
    // Inside the whole area counts although every edge near the leg is cut away.
    expect_spans(reach(east, square, 40, north_of_100), {{100, 200}});
}

TEST(Join, joins_what_overlaps_or_touches) {
    std::vector<Span> spans{{5, 6}, {0, 1}, {1, 2}, {5.5, 7}, {9, 9}};
    join(spans);
    expect_spans(spans, {{0, 2}, {5, 7}, {9, 9}});
    join(spans, 3.0);
    expect_spans(spans, {{0, 9}});
}

TEST(Remainder, is_what_no_span_covers) {
    expect_spans(remainder({0, 10}, {{2, 3}, {5, 5}, {8, 12}}), {{0, 2}, {3, 5}, {5, 8}});
    expect_spans(remainder({0, 10}, {}), {{0, 10}});
    expect_spans(remainder({0, 10}, {{-1, 11}}), {});
    expect_spans(remainder({4, 4}, {{0, 1}}), {{4, 4}});
    expect_spans(remainder({4, 4}, {{0, 4}}), {});
}

TEST(Nearest, of_a_leg_to_a_shape) {
    auto n = nearest(east, Shape::of_points({{300, 80}, {700, 60}}));
    EXPECT_DOUBLE_EQ(n.metres, 60);
    EXPECT_DOUBLE_EQ(n.along, 700);
    EXPECT_EQ(n.on_shape, (Point{700, 60}));
    // A parallel edge: the first of equal places.
    n = nearest(east, Shape::of_lines({{{800, 40}, {-200, 40}}}));
    EXPECT_DOUBLE_EQ(n.metres, 40);
    EXPECT_DOUBLE_EQ(n.along, 0);
    EXPECT_NEAR(n.on_shape.x, 0, 1e-9);
    // Beyond the end of the leg, against the inner part of an edge.
    n = nearest(east, Shape::of_lines({{{1030, -100}, {1030, 100}}}));
    EXPECT_DOUBLE_EQ(n.metres, 30);
    EXPECT_DOUBLE_EQ(n.along, 1000);
    n = nearest(east, square);
    EXPECT_EQ(n.metres, 0);
    EXPECT_DOUBLE_EQ(n.along, 100);
    n = nearest({{150, 10}, {160, 10}}, square);
    EXPECT_EQ(n.metres, 0);
    EXPECT_EQ(n.on_shape, (Point{150, 10}));
    EXPECT_TRUE(std::isinf(nearest(east, Shape()).metres));
}
