#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numbers>

#include "dangerline/geo/regions.hpp"
#include "dangerline/geo/triangulation.hpp"
#include "geo/scenes.hpp"

using namespace dangerline::geo;

namespace {

double signed_area(const Ring& ring) {
    double twice = 0.0;
    for (std::size_t i = 0; i + 1 < ring.size(); ++i)
        twice += ring[i].x * ring[i + 1].y - ring[i + 1].x * ring[i].y;
    return twice / 2;
}

void expect_outside(const std::vector<PolygonRings>& zones, const Shape& shape, double radius) {
    ASSERT_FALSE(zones.empty());
    for (const auto& zone : zones)
        for (std::size_t k = 0; k < zone.size(); ++k) {
            EXPECT_EQ(zone[k].front(), zone[k].back());
            EXPECT_EQ(signed_area(zone[k]) > 0.0, k == 0);
            for (std::size_t i = 0; i + 1 < zone[k].size(); ++i) {
                const Point a = zone[k][i], b = zone[k][i + 1];
                EXPECT_GE(shape.distance(a), radius);
                EXPECT_GE(shape.distance({(a.x + b.x) / 2, (a.y + b.y) / 2}), radius);
                EXPECT_LE(shape.distance(a), 1.011 * radius + 0.03);
            }
        }
}

PolygonRings box(double x0, double y0, double x1, double y1) {
    return {{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}}};
}

std::vector<const Shape*> pointers(const std::vector<Shape>& shapes) {
    std::vector<const Shape*> all;
    for (const auto& shape : shapes)
        all.push_back(&shape);
    return all;
}

// Tiles of a grid whose inner corners are pushed about and whose shared edges are wavy, vertex for vertex
// alike.
struct Grid {
    int columns, rows, between;
    double cell;
    Point corner(int i, int j) const {
        const bool edge_x = i == 0 || i == columns, edge_y = j == 0 || j == rows;
        return {cell * (i + (edge_x ? 0 : 0.2 * std::sin(7.0 * i + 3.0 * j))),
                cell * (j + (edge_y ? 0 : 0.2 * std::cos(5.0 * i + 11.0 * j)))};
    }
    std::vector<Point> edge(Point a, Point b, bool wavy) const {
        const bool turned = b.x < a.x || (b.x == a.x && b.y < a.y);
        if (turned)
            std::swap(a, b);
        std::vector<Point> points{a};
        for (int k = 1; k < between; ++k) {
            const double t = static_cast<double>(k) / between, w = wavy ? 0.01 * std::sin(20 * t) : 0.0;
            points.push_back(
                {a.x + t * (b.x - a.x) - w * (b.y - a.y), a.y + t * (b.y - a.y) + w * (b.x - a.x)});
        }
        points.push_back(b);
        if (turned)
            std::reverse(points.begin(), points.end());
        points.pop_back();
        return points;
    }
    Ring tile(int i, int j) const {
        Ring ring;
        const auto add = [&](int i0, int j0, int i1, int j1, bool wavy) {
            const auto points = edge(corner(i0, j0), corner(i1, j1), wavy);
            ring.insert(ring.end(), points.begin(), points.end());
        };
        add(i, j, i + 1, j, j > 0);
        add(i + 1, j, i + 1, j + 1, i + 1 < columns);
        add(i + 1, j + 1, i, j + 1, j + 1 < rows);
        add(i, j + 1, i, j, i > 0);
        return ring;
    }
    std::vector<Shape> tiles() const {
        std::vector<Shape> all;
        for (int i = 0; i < columns; ++i)
            for (int j = 0; j < rows; ++j)
                all.push_back(Shape::of_area({tile(i, j)}));
        return all;
    }
    std::vector<PolygonRings> cover() const { return {box(0, 0, columns * cell, rows * cell)}; }
};

} // namespace

TEST(Grown, no_vertex_and_no_chord_inside_the_radius) {
    for (unsigned seed = 0; seed < 12; ++seed) {
        scenes::Random random(seed, 500, seed % 2 ? 0 : 20);
        for (const double radius : {0.0, 15.0, 50.0}) {
            const auto points = Shape::of_points(random.chain(6));
            expect_outside(grown(points, radius), points, radius);
            const auto lines = Shape::of_lines({random.chain(6), random.chain(1)});
            expect_outside(grown(lines, radius), lines, radius);
            const auto area =
                Shape::of_area({random.star({0, 0}, 300, 500, 40), random.star({0, 0}, 100, 280, 20)});
            expect_outside(grown(area, radius), area, radius);
            const auto crossed = Shape::of_area({random.chain(6), {{600, 600}, {700, 700}}});
            expect_outside(grown(crossed, radius), crossed, radius);
        }
    }
    EXPECT_TRUE(grown(Shape(), 50).empty());
}

// pi r^2 on the ellipsoid: the radius is 0.02 m larger, the chords lie outside it.
TEST(Grown, disc_of_50_m_measured_on_the_ellipsoid) {
    for (const double lat : {0.0, 50.0, 75.0})
        for (const double off : {0.0, 70'000.0}) {
            const Plane plane({179.99, lat});
            const auto zones = grown(Shape::of_points({{0.6 * off, -0.8 * off}}), 50);
            ASSERT_EQ(zones.size(), 1U);
            ASSERT_EQ(zones[0].size(), 1U);
            EXPECT_GE(zones[0][0].size(), 4U * buffer_segments_per_quadrant);
            std::vector<Position> ring;
            for (const Point p : zones[0][0])
                ring.push_back(plane.to_position(p));
            const double area = ellipsoid_area(ring, Edges::geodesic);
            EXPECT_GT(area, std::numbers::pi * 50 * 50);
            EXPECT_NEAR(area, std::numbers::pi * 50.02 * 50.02, 0.4);
        }
}

TEST(Regions, union_difference_and_area) {
    const auto a = Shape::of_area({box(0, 0, 100, 100)[0]}), b = Shape::of_area({box(50, 0, 150, 100)[0]});
    const auto both = united({&a, &b});
    ASSERT_EQ(both.size(), 1U);
    EXPECT_NEAR(area_of(both), 15'000, 1e-9);
    const auto ring = without(both, {box(20, 20, 40, 40), box(30, 30, 60, 60)});
    EXPECT_NEAR(area_of(ring), 15'000 - 400 - 900 + 100, 1e-9);
    const auto shape = to_shape(ring);
    EXPECT_TRUE(shape.contains({10, 10}));
    EXPECT_FALSE(shape.contains({50, 50}));
    EXPECT_TRUE(without({box(0, 0, 1, 1)}, {box(-1, -1, 2, 2)}).empty());
    EXPECT_NEAR(area_of(without(both, {})), 15'000, 1e-9);
    EXPECT_TRUE(united({}).empty());
}

TEST(Regions, islands_in_lakes_under_even_odd_in_any_order) {
    const auto shape = Shape::of_area(
        {box(40, 40, 60, 60)[0], box(0, 0, 100, 100)[0], box(20, 20, 80, 80)[0], box(200, 0, 210, 10)[0]});
    const auto polygons = united({&shape});
    EXPECT_EQ(polygons.size(), 3U);
    EXPECT_NEAR(area_of(polygons), 10'000 - 3'600 + 400 + 100, 1e-9);
    // A hole that touches its outer ring in a corner, a second polygon that touches it too.
    const auto touching = Shape::of_area({{{0, 0}, {100, 0}, {100, 100}, {0, 100}},
                                          {{0, 0}, {30, 10}, {10, 30}},
                                          {{0, 0}, {-30, -10}, {-10, -30}}});
    EXPECT_NEAR(area_of(united({&touching})), 10'000 - 400 + 400, 1e-9);
    EXPECT_EQ(united({&touching}).size(), 2U);
}

TEST(Tiling, clean_grid_has_nothing) {
    const Grid grid{6, 5, 20, 1000};
    const auto tiles = grid.tiles();
    const auto t = check_tiling(grid.cover(), pointers(tiles));
    EXPECT_TRUE(t.gaps.empty());
    EXPECT_TRUE(t.overlaps.empty());
    EXPECT_EQ(t.gap_square_metres, 0.0);
}

TEST(Tiling, a_missing_tile_and_a_small_hole_are_gaps) {
    const Grid grid{6, 5, 20, 1000};
    auto tiles = grid.tiles();
    const double lost = area_of(united({&tiles[13]}));
    tiles.erase(tiles.begin() + 13);
    auto ring = grid.tile(0, 0);
    tiles[0] = Shape::of_area({ring, box(400, 400, 401.5, 401.5)[0], box(600, 600, 600.9, 601)[0]});
    const auto t = check_tiling(grid.cover(), pointers(tiles));
    ASSERT_EQ(t.gaps.size(), 2U); // the hole of 0.9 m2 is below the limit
    EXPECT_NEAR(t.gap_square_metres, lost + 2.25, 1e-3);
    EXPECT_TRUE(t.overlaps.empty());
    // No tiles at all: everything is a gap.
    EXPECT_NEAR(check_tiling(grid.cover(), {}).gap_square_metres, 30e6, 1e-3);
}

TEST(Tiling, overlaps_are_found_with_and_without_a_gap) {
    const Grid grid{6, 5, 20, 1000};
    auto tiles = grid.tiles();
    tiles.push_back(Shape::of_area({box(1500, 1500, 1502, 1502)[0]}));
    auto t = check_tiling(grid.cover(), pointers(tiles));
    ASSERT_EQ(t.overlaps.size(), 1U);
    EXPECT_NEAR(t.overlap_square_metres, 4.0, 1e-6);
    EXPECT_TRUE(t.gaps.empty());
    tiles.push_back(tiles[7]); // twice the same tile
    tiles.erase(tiles.begin());
    t = check_tiling(grid.cover(), pointers(tiles));
    EXPECT_NEAR(t.overlap_square_metres, area_of(united({&tiles[6]})) + 4.0, 1e-3);
    EXPECT_EQ(t.gaps.size(), 1U);
}

// An overlap and a gap of the same size must not cancel in the sums.
TEST(Tiling, a_tile_moved_aside_makes_both) {
    const std::vector<Shape> tiles{Shape::of_area({box(0, 0, 100, 100)[0]}),
                                   Shape::of_area({box(98, 0, 198, 100)[0]}),
                                   Shape::of_area({box(200, 0, 300, 100)[0]})};
    const auto t = check_tiling({box(0, 0, 300, 100)}, pointers(tiles));
    EXPECT_NEAR(t.gap_square_metres, 200, 1e-6);
    EXPECT_NEAR(t.overlap_square_metres, 200, 1e-6);
}

// Two copies of a tile over a third that holds their place as well: every edge is passed twice.
TEST(Tiling, a_doubled_tile_over_another_is_an_overlap) {
    const Grid grid{6, 5, 20, 1000};
    auto tiles = grid.tiles();
    tiles.push_back(Shape::of_area({box(2200, 2200, 2210, 2210)[0]}));
    tiles.push_back(tiles.back());
    EXPECT_GT(check_tiling(grid.cover(), pointers(tiles)).overlap_square_metres, 99.0);
}

// The areas' sum fits and every edge that is not shared lies on the cover's rim, yet half of it has no tile.
TEST(Tiling, a_cover_of_two_parts_one_tiled_twice_is_not_clean) {
    const std::vector<Shape> twice{Shape::of_area({box(0, 0, 100, 100)[0]}),
                                   Shape::of_area({box(0, 0, 100, 100)[0]})};
    const auto t = check_tiling({box(0, 0, 100, 100), box(200, 0, 300, 100)}, pointers(twice));
    EXPECT_NEAR(t.gap_square_metres, 10'000, 1e-6);
    EXPECT_NEAR(t.overlap_square_metres, 10'000, 1e-6);
    // Long and thin enough that the missing part is a thousandth of the sum.
    const std::vector<Shape> one{Shape::of_area({box(0, 0, 10'000, 100)[0]})};
    const auto u = check_tiling({box(0, 0, 10'000, 100), box(20'000, 0, 20'025, 25)}, pointers(one));
    EXPECT_NEAR(u.gap_square_metres, 625, 1e-6);
}

TEST(Tiling, t_junctions_are_clean) {
    const std::vector<Shape> tiles{Shape::of_area({box(0, 0, 100, 100)[0]}),
                                   Shape::of_area({box(100, 0, 200, 40)[0]}),
                                   Shape::of_area({box(100, 40, 200, 100)[0]})};
    const auto t = check_tiling({box(0, 0, 200, 100)}, pointers(tiles));
    EXPECT_TRUE(t.gaps.empty());
    EXPECT_TRUE(t.overlaps.empty());
}

TEST(Tiling, slivers_along_a_cell_edge_are_not_counted) {
    // A parallel at 50 N in the plane: the tiles have many vertices on it, the cover fewer.
    const Plane plane({-5, 50.2});
    const auto ring = [&](double west, double east, double limit) {
        const std::vector<Position> corners{{west, 50}, {east, 50}, {east, 50.4}, {west, 50.4}, {west, 50}};
        return plane.rhumb_chain(corners, limit);
    };
    std::vector<Shape> tiles;
    for (double west = -5.4; west < -4.65; west += 0.1)
        tiles.push_back(Shape::of_area({ring(west, west + 0.1, 0.01)}));
    const auto t = check_tiling({{ring(-5.4, -4.6, 0.1)}}, pointers(tiles));
    EXPECT_TRUE(t.gaps.empty());
    EXPECT_TRUE(t.overlaps.empty());
    // The bare cover bends away by tens of metres: that would be seen.
    EXPECT_FALSE(check_tiling({{ring(-5.4, -4.6, 1e9)}}, pointers(tiles)).gaps.empty());
}

TEST(Tiling, seven_hundred_tiles_take_no_time) {
    const Grid grid{35, 20, 140, 1500};
    const auto tiles = grid.tiles();
    const auto start = std::chrono::steady_clock::now();
    const auto t = check_tiling(grid.cover(), pointers(tiles));
    const std::chrono::duration<double, std::milli> took = std::chrono::steady_clock::now() - start;
    EXPECT_TRUE(t.gaps.empty());
    EXPECT_TRUE(t.overlaps.empty());
    RecordProperty("milliseconds", std::to_string(took.count()));
    EXPECT_LT(took.count(), 5'000); // 0.2 s of processor time on a busy machine
}

TEST(Mend, leaves_alone_what_is_valid) {
    const auto m = mend({{box(0, 0, 100, 100)[0], box(20, 20, 40, 40)[0]}, box(200, 0, 300, 100)});
    EXPECT_TRUE(m.valid);
    EXPECT_TRUE(m.why.empty());
    EXPECT_TRUE(m.mended.empty());
    EXPECT_TRUE(mend({}).valid);
}

TEST(Mend, bow_tie) {
    const auto m = mend({{{{0, 0}, {100, 100}, {100, 0}, {0, 100}, {0, 0}}}});
    EXPECT_FALSE(m.valid);
    EXPECT_NE(m.why.find("Self-intersection[50 50]"), std::string::npos) << m.why;
    EXPECT_NEAR(area_of(m.mended), 5'000, 1e-9);
    EXPECT_TRUE(to_shape(m.mended).contains({20, 50}));
    EXPECT_TRUE(to_shape(m.mended).contains({80, 50}));
}

TEST(Mend, the_readings_differ_where_a_hole_leaves_its_ring) {
    // The hole sticks out by 20 m: even-odd counts the part outside as area, the other reading does not.
    const auto m = mend({{box(0, 0, 100, 100)[0], box(80, 40, 120, 60)[0]}});
    EXPECT_FALSE(m.valid);
    EXPECT_NEAR(area_of(m.mended), 10'000 - 400 + 400, 1e-9);
    EXPECT_NEAR(area_of(m.doubt), 400, 1e-9);
    EXPECT_TRUE(to_shape(m.doubt).contains({110, 50}));
}

TEST(Mend, polygons_that_overlap) {
    const auto m = mend({box(0, 0, 100, 100), box(50, 0, 150, 100)});
    EXPECT_FALSE(m.valid);
    EXPECT_NEAR(area_of(m.mended), 15'000, 1e-9);
    EXPECT_TRUE(m.doubt.empty()); // both are area, however it is read
}

TEST(Mend, unclosed_ring_is_all_in_doubt) {
    const auto m = mend({{{{0, 0}, {100, 0}, {100, 100}, {0, 100}}}});
    EXPECT_FALSE(m.valid);
    EXPECT_NE(m.why.find("Ring not closed"), std::string::npos);
    EXPECT_NEAR(area_of(m.mended), 10'000, 1e-9);
    EXPECT_NEAR(area_of(m.doubt), 10'000, 1e-9);
}

TEST(Mend, too_few_corners_and_no_numbers_are_said) {
    auto m = mend({{{{0, 0}, {100, 0}, {0, 0}}}});
    EXPECT_FALSE(m.valid);
    EXPECT_NE(m.why.find("fewer than three corners"), std::string::npos);
    EXPECT_TRUE(m.mended.empty());
    auto rings = box(0, 0, 100, 100);
    rings[0].insert(rings[0].begin() + 2, Point{std::nan(""), 5});
    m = mend({rings});
    EXPECT_FALSE(m.valid);
    EXPECT_NE(m.why.find("not a number"), std::string::npos);
    EXPECT_NEAR(area_of(m.mended), 10'000, 1e-9);
    // A spike out and back is an area with a line hanging from it.
    m = mend({{{{0, 0}, {100, 0}, {100, 50}, {200, 50}, {100, 50}, {100, 100}, {0, 100}, {0, 0}}}});
    EXPECT_FALSE(m.valid);
    EXPECT_NEAR(area_of(m.mended), 10'000, 1e-9);
}

// Pieces that touch in corners only: their outline branches there, and still every ring closes on itself.
TEST(Joined, pieces_that_touch_in_corners_keep_their_area) {
    std::vector<std::vector<Point>> squares;
    double area = 0.0;
    for (int x = 0; x < 12; ++x)
        for (int y = 0; y < 12; ++y)
            if ((x + y) % 2 == 0 || (x > 3 && x < 8 && y > 2 && y < 9)) {
                const double w = 10.0 * x, s = 10.0 * y;
                squares.push_back({{w, s}, {w + 10, s}, {w + 10, s + 10}, {w, s + 10}, {w, s}});
                area += 100.0;
            }
    const Shape joined = dangerline::geo::joined(squares);
    EXPECT_NEAR(area_of(polygons_of(joined)), area, 1e-9);
    for (std::size_t k = 0; k < joined.part_count(); ++k)
        EXPECT_EQ(joined.part(k).front(), joined.part(k).back());
    EXPECT_TRUE(joined.contains({5, 5}));
    EXPECT_FALSE(joined.contains({15, 5}));
}
