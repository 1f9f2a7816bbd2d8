#include "overlay/geometry.hpp"

#include <algorithm>
#include <cmath>
#include <gtest/gtest.h>
#include <limits>
#include <random>

namespace dangerline::overlay {
namespace {

using geo::Position;

double signed_area(const Line& ring) {
    double twice = 0.0;
    for (std::size_t i = 0; i + 1 < ring.size(); ++i)
        twice += ring[i].lon_deg * ring[i + 1].lat_deg - ring[i + 1].lon_deg * ring[i].lat_deg;
    return twice / 2.0;
}

/// The ring turned so that it begins at its least place: rings are equal whatever place they begin at.
Line canonical(Line ring) {
    const auto less = [](const Position& a, const Position& b) {
        return a.lon_deg != b.lon_deg ? a.lon_deg < b.lon_deg : a.lat_deg < b.lat_deg;
    };
    ring.pop_back();
    std::rotate(ring.begin(), std::min_element(ring.begin(), ring.end(), less), ring.end());
    return ring;
}

Feature feature(Geometry g) {
    return {std::move(g), {}};
}

// RFC 7946 section 3.1.9, first example: from 45 N 170 E across the antimeridian to 45 N 170 W.
TEST(CutLine, FollowsTheExampleOfRfc7946) {
    const Lines expected{{{170.0, 45.0}, {180.0, 45.0}}, {{-180.0, 45.0}, {-170.0, 45.0}}};
    EXPECT_EQ(cut_line({{170.0, 45.0}, {-170.0, 45.0}}), expected);
    EXPECT_EQ(cut_line({{170.0, 45.0}, {190.0, 45.0}}), expected) << "longitudes that run on";
    EXPECT_EQ(cut_line({{-190.0, 45.0}, {-170.0, 45.0}}), expected) << "longitudes that run on to the west";
    const Lines back{{{-170.0, 45.0}, {-180.0, 45.0}}, {{180.0, 45.0}, {170.0, 45.0}}};
    EXPECT_EQ(cut_line({{-170.0, 45.0}, {170.0, 45.0}}), back);
}

TEST(CutLine, TouchesTheAntimeridianWithoutACut) {
    const Line touch{{179.0, 10.0}, {180.0, 11.0}, {179.0, 12.0}};
    EXPECT_EQ(cut_line(touch), Lines{touch});
    const Line along{{179.0, 10.0}, {180.0, 11.0}, {180.0, 12.0}, {179.0, 12.0}};
    EXPECT_EQ(cut_line(along), Lines{along});
    const Lines through{{{179.0, 10.0}, {180.0, 11.0}, {180.0, 12.0}}, {{-180.0, 12.0}, {-179.0, 12.0}}};
    EXPECT_EQ(cut_line({{179.0, 10.0}, {180.0, 11.0}, {180.0, 12.0}, {181.0, 12.0}}), through);
}

TEST(CutLine, RoundsToSevenDecimalsAndDropsRepeatedPlaces) {
    const Lines expected{{{1.2345679, -0.0000001}, {2.0, 0.0}}};
    const Lines got = cut_line({{1.23456789, -0.00000011}, {1.23456788, -0.00000012}, {2.0, -0.00000001}});
    EXPECT_EQ(got, expected);
    EXPECT_FALSE(std::signbit(got.front().back().lat_deg));
}

TEST(CutLine, KeepsALineThatRoundsToOnePlace) {
    EXPECT_EQ(cut_line({{5.0, 6.0}, {5.0 + 1e-9, 6.0}}), (Lines{{{5.0, 6.0}, {5.0, 6.0}}}));
}

// RFC 7946 section 3.1.9, second example: a box 40 to 50 N, 170 E to 170 W.
TEST(CutAreas, FollowTheExampleOfRfc7946) {
    const Line west = canonical({{180.0, 40.0}, {180.0, 50.0}, {170.0, 50.0}, {170.0, 40.0}, {180.0, 40.0}});
    const Line east =
        canonical({{-170.0, 40.0}, {-170.0, 50.0}, {-180.0, 50.0}, {-180.0, 40.0}, {-170.0, 40.0}});
    const Areas boxes{{{{170.0, 40.0}, {190.0, 40.0}, {190.0, 50.0}, {170.0, 50.0}, {170.0, 40.0}}},
                      {{{170.0, 40.0}, {-170.0, 40.0}, {-170.0, 50.0}, {170.0, 50.0}}},
                      {{{-170.0, 50.0}, {-170.0, 40.0}, {-190.0, 40.0}, {-190.0, 50.0}}}};
    for (const Rings& box : boxes) {
        const Areas got = cut_areas({box});
        ASSERT_EQ(got.size(), 2U);
        ASSERT_EQ(got[0].size(), 1U);
        ASSERT_EQ(got[1].size(), 1U);
        const bool west_first = got[0][0][0].lon_deg > 0.0;
        EXPECT_EQ(canonical(got[west_first ? 0 : 1][0]), west);
        EXPECT_EQ(canonical(got[west_first ? 1 : 0][0]), east);
    }
}

// RFC 7946 section 3.1.6: closed, outer ring counter-clockwise, holes clockwise.
TEST(CutAreas, AreClosedAndWoundByTheRightHandRule) {
    const Line ccw{{0.0, 0.0}, {4.0, 0.0}, {4.0, 4.0}, {0.0, 4.0}};
    const Line cw(ccw.rbegin(), ccw.rend());
    const Line hole_ccw{{1.0, 1.0}, {2.0, 1.0}, {2.0, 2.0}, {1.0, 2.0}};
    const Line hole_cw(hole_ccw.rbegin(), hole_ccw.rend());
    for (const Line& outer : {ccw, cw})
        for (const Line& hole : {hole_ccw, hole_cw}) {
            const Areas got = cut_areas({{outer, hole}});
            ASSERT_EQ(got.size(), 1U);
            ASSERT_EQ(got[0].size(), 2U);
            EXPECT_EQ(got[0][0].front(), got[0][0].back());
            EXPECT_EQ(got[0][1].front(), got[0][1].back());
            EXPECT_DOUBLE_EQ(signed_area(got[0][0]), 16.0);
            EXPECT_DOUBLE_EQ(signed_area(got[0][1]), -1.0);
        }
}

TEST(CutAreas, LoseNothingThatIsTooThinToBeWritten) {
    const Areas sliver = cut_areas({{{{1.0, 1.0}, {1.00000001, 1.0}, {1.00000001, 2.0}, {1.0, 2.0}}}});
    ASSERT_EQ(sliver.size(), 1U);
    EXPECT_NEAR(signed_area(sliver[0][0]), 2e-7, 1e-10);
    const Areas filled = cut_areas({{{{0.0, 0.0}, {1.0, 0.0}, {1.0, 1.0}, {0.0, 1.0}},
                                     {{0.5, 0.5}, {0.50000001, 0.5}, {0.5, 0.50000001}}}});
    ASSERT_EQ(filled.size(), 1U);
    EXPECT_EQ(filled[0].size(), 1U) << "a hole of a millimetre is filled";
}

/// A star round a centre; radii between `least` and `most` degrees.
Line star(Position centre, double least, double most, int corners, std::mt19937& random) {
    std::uniform_real_distribution<double> radius(least, most);
    Line ring;
    for (int i = 0; i < corners; ++i) {
        const double angle = 2.0 * M_PI * i / corners, r = radius(random);
        ring.push_back({centre.lon_deg + r * std::cos(angle), centre.lat_deg + r * std::sin(angle)});
    }
    ring.push_back(ring.front());
    return ring;
}

TEST(CutAreas, KeepTheirSizeWhereverTheyAreCut) {
    std::mt19937 random(20260601);
    std::uniform_real_distribution<double> lon(178.0, 182.0), lat(-60.0, 60.0);
    int cut = 0;
    for (int i = 0; i < 300; ++i) {
        const Position centre{lon(random), lat(random)};
        const Line outer = star(centre, 1.0, 2.0, 40, random), hole = star(centre, 0.2, 0.9, 20, random);
        double size = 0.0;
        const Areas got = cut_areas({{outer, hole}});
        for (const Rings& rings : got)
            for (std::size_t k = 0; k < rings.size(); ++k) {
                EXPECT_EQ(rings[k].front(), rings[k].back());
                EXPECT_EQ(signed_area(rings[k]) > 0.0, k == 0);
                size += signed_area(rings[k]);
                for (const Position& p : rings[k])
                    EXPECT_LE(std::abs(p.lon_deg), 180.0);
            }
        EXPECT_NEAR(size, std::abs(signed_area(outer)) - std::abs(signed_area(hole)), 1e-5);
        cut += got.size() > 1;
    }
    EXPECT_GT(cut, 200);
}

// RFC 7946 section 5.2: Fiji, 177 E to 178 W and 20 to 16 S, has the bbox [177, -20, -178, -16].
TEST(Bounds, FollowTheExampleOfRfc7946) {
    const auto b = bounds_of({feature(Position{177.0, -16.0}), feature(Position{-178.0, -20.0})});
    ASSERT_TRUE(b);
    EXPECT_EQ(b->west, 177.0);
    EXPECT_EQ(b->south, -20.0);
    EXPECT_EQ(b->east, -178.0);
    EXPECT_EQ(b->north, -16.0);
}

TEST(Bounds, CrossOnlyWhereThatIsNarrower) {
    const auto plain = bounds_of({feature(Position{-3.0, 50.0}), feature(Lines{{{1.0, 49.0}, {2.0, 51.0}}})});
    EXPECT_EQ(plain->west, -3.0);
    EXPECT_EQ(plain->east, 2.0);
    EXPECT_EQ(plain->south, 49.0);
    EXPECT_EQ(plain->north, 51.0);
    const auto cut = bounds_of({feature(cut_line({{170.0, 45.0}, {190.0, 46.0}}))});
    EXPECT_EQ(cut->west, 170.0);
    EXPECT_EQ(cut->east, -170.0);
    EXPECT_FALSE(bounds_of({}));
}

// What is drawn straight between two corners stays where the plane has it, far from the centre and up north
// too.
TEST(Unproject, KeepsLongStraightEdgesToACentimetre) {
    for (const double lat : {0.0, -45.0, 60.0, 75.0}) {
        const geo::Plane plane({10.0, lat});
        const geo::Ring ring{
            {-15000.0, -9000.0}, {15000.0, -9000.0}, {15000.0, 20000.0}, {-15000.0, -9000.0}};
        const geo::Shape shape = geo::Shape::of_lines({ring});
        const auto furthest = [&](const Line& line) {
            double most = 0.0;
            for (std::size_t i = 0; i + 1 < line.size(); ++i)
                for (const double k : {0.25, 0.5, 0.75})
                    most =
                        std::max(most, shape.distance(plane.to_plane(
                                           {line[i].lon_deg + k * (line[i + 1].lon_deg - line[i].lon_deg),
                                            line[i].lat_deg + k * (line[i + 1].lat_deg - line[i].lat_deg)})));
            return most;
        };
        EXPECT_LT(furthest(unproject(plane, {{ring}})[0][0]), 0.01) << lat;
        Line corners;
        for (const geo::Point& p : ring)
            corners.push_back(plane.to_position(p));
        if (lat != 0.0) {
            EXPECT_GT(furthest(corners), 1.0) << "uncut edges would have done at " << lat;
        }
    }
}

// The JSON library's own writer turned these into -27.856226499999998 and 46.087665200000004.
TEST(ToGeojson, WritesNoMoreDecimalsThanWereRoundedTo) {
    const std::string text = to_geojson({feature(rounded_place({-27.8562265, 46.0876652}))}, {});
    EXPECT_NE(text.find(R"("coordinates":[-27.8562265,46.0876652])"), std::string::npos) << text;
}

TEST(ToGeojson, EscapesTexts) {
    const std::string text = to_geojson({}, {{"said \"so\"", Value::text("a\n\\\x01")}});
    EXPECT_NE(text.find(R"("said \"so\"":"a\n\\\u0001")"), std::string::npos) << text;
}

TEST(ToGeojson, NeverWritesMinusZeroOrInfinity) {
    const Members head{{"a", Value::number(-0.001, 2)},
                       {"b", Value::number(std::numeric_limits<double>::infinity(), 2)},
                       {"c", Value::number(std::nan(""), 2)},
                       {"d", Value::number(1.005e3, 2)}};
    EXPECT_NE(to_geojson({}, head).find(R"({"a":0.0,"b":null,"c":null,"d":1005.0})"), std::string::npos);
}

} // namespace
} // namespace dangerline::overlay
