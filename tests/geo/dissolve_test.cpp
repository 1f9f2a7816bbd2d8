// Areas dissolved, parted, and where they are narrow.
#include "dangerline/geo/dissolve.hpp"

#include <gtest/gtest.h>

#include <random>

using namespace dangerline::geo;

namespace {

Ring box(double west, double south, double east, double north) {
    return {{west, south}, {east, south}, {east, north}, {west, north}, {west, south}};
}

} // namespace

TEST(Dissolve, neighbours_lose_their_edge_and_keep_a_hole) {
    const Shape a = Shape::of_area({box(0, 0, 10, 10), box(4, 4, 6, 6)});
    const Shape b = Shape::of_area({box(10, 0, 20, 10)});
    const auto one = dissolved({&a, &b});
    ASSERT_EQ(one.size(), 1U);
    EXPECT_EQ(one[0].size(), 2U); // outer ring and hole
    EXPECT_NEAR(area_of(one), 196.0, 1e-9);
}

TEST(Dissolve, overlaps_count_once) {
    const Shape a = Shape::of_area({box(0, 0, 10, 10)}), b = Shape::of_area({box(5, 5, 15, 15)});
    EXPECT_NEAR(area_of(dissolved({&a, &b})), 175.0, 1e-9);
    EXPECT_TRUE(dissolved({}).empty());
}

TEST(Dissolve, parts_add_up) {
    std::mt19937 random(3);
    std::uniform_real_distribution<double> place(0.0, 10'000.0);
    for (int i = 0; i < 100; ++i) {
        const double x = place(random), y = place(random);
        Ring star;
        for (int k = 0; k < 40; ++k) {
            const double r = 500.0 + place(random) / 2.0, angle = 2.0 * 3.14159265358979 * k / 40.0;
            star.push_back({x + r * std::cos(angle), y + r * std::sin(angle)});
        }
        star.push_back(star.front());
        const std::vector<PolygonRings> area{{box(0, 0, 10'000, 10'000), box(2000, 2000, 3000, 3000)}};
        const auto p = parted(area, {{star}});
        EXPECT_NEAR(area_of(p.inside) + area_of(p.outside), area_of(area), 1e-5);
    }
    EXPECT_EQ(area_of(parted({{box(0, 0, 1, 1)}}, {}).outside), 1.0);
}

TEST(Dissolve, narrow_parts) {
    // A room of 100 m with a passage of 20 m.
    const std::vector<PolygonRings> area{
        {{{0, 0}, {100, 0}, {100, 40}, {300, 40}, {300, 60}, {100, 60}, {100, 100}, {0, 100}, {0, 0}}}};
    EXPECT_TRUE(narrower_than(area, 19.0).empty());
    // A disc of 30 m reaches 4 m into the passage from the room.
    const double narrow = area_of(narrower_than(area, 30.0));
    EXPECT_LT(narrow, 200.0 * 20.0);
    EXPECT_GT(narrow, 195.0 * 20.0);
    EXPECT_NEAR(area_of(narrower_than(area, 101.0)), area_of(area), 1e-9);
    EXPECT_TRUE(narrower_than({{box(0, 0, 100, 100)}}, 99.0).empty()); // corners are not narrow
}

TEST(Dissolve, rounding_keeps_areas_valid) {
    // A neck that rounding closes.
    const std::vector<PositionRings> neck{{{{-28.0, 46.0},
                                            {-27.9999, 46.0},
                                            {-27.9999, 46.0001},
                                            {-27.99995, 46.00000001},
                                            {-28.0, 46.0001},
                                            {-28.0, 46.0}}}};
    const auto rounded = rounded_valid(neck, 1e-7);
    ASSERT_EQ(rounded.size(), 2U);
    for (const auto& polygon : rounded) {
        PolygonRings flat(1);
        for (const auto& p : polygon[0])
            flat[0].push_back({p.lon_deg, p.lat_deg});
        EXPECT_TRUE(mend({flat}).valid);
    }
}
