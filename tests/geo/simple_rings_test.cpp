#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <functional>
#include <limits>

#include "geo/scenes.hpp"
#include "geo/simple_rings.hpp"

using namespace dangerline::geo;

namespace {

using Area = std::vector<PolygonRings>;

bool valid_by_geos(const Area& area) {
    std::vector<GEOSGeometry*> polygons;
    for (const PolygonRings& polygon : area) {
        std::vector<GEOSGeometry*> rings;
        for (const Ring& ring : polygon)
            rings.push_back(GEOSGeom_createLinearRing_r(scenes::geos(), scenes::sequence(ring)));
        polygons.push_back(GEOSGeom_createPolygon_r(scenes::geos(), rings[0], rings.data() + 1,
                                                    static_cast<unsigned>(rings.size() - 1)));
    }
    const scenes::Geometry all(GEOSGeom_createCollection_r(scenes::geos(), GEOS_MULTIPOLYGON, polygons.data(),
                                                           static_cast<unsigned>(polygons.size())));
    return GEOSisValid_r(scenes::geos(), all.get()) == 1;
}

Ring closed(Ring ring) {
    ring.push_back(ring.front());
    return ring;
}

Ring box(double x0, double y0, double x1, double y1) {
    return {{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}, {x0, y0}};
}

/// Makes areas of one kind; what is done to rings may leave them valid or not.
struct Kind {
    const char* name;
    std::function<Area(scenes::Random&)> make;
    double least_proven; ///< share of those that GEOS holds valid
    double least_valid, most_valid;
};

Ring star(scenes::Random& random, Point at, double least, double most) {
    return closed(random.star(at, least, most, 3 + random.below(60)));
}

Ring snapped(const scenes::Random& random, Ring ring) {
    for (Point& p : ring)
        p = random.snapped(p);
    return ring;
}

/// Corner k of an open ring; changed before it is closed.
std::size_t some_corner(scenes::Random& random, const Ring& ring) {
    return static_cast<std::size_t>(random.below(static_cast<int>(ring.size())));
}

const std::array kinds{
    Kind{"stars", [](scenes::Random& r) { return Area{{star(r, {}, 100, 900)}}; }, 1.0, 1.0, 1.0},
    Kind{"stars with repeated corners",
         [](scenes::Random& r) {
             Ring ring = r.star(r.point(), 100, 900, 20);
             for (int i = 0; i < 5; ++i) {
                 const std::size_t k = some_corner(r, ring);
                 ring.insert(ring.begin() + static_cast<std::ptrdiff_t>(k), ring[k]);
             }
             return Area{{closed(ring)}};
         },
         1.0, 1.0, 1.0},
    Kind{"stars whose corners are snapped",
         [](scenes::Random& r) { return Area{{snapped(r, star(r, {}, 100, 900))}}; }, 0.8, 0.1, 0.9},
    Kind{"few corners anywhere", [](scenes::Random& r) { return Area{{closed(r.chain(3 + r.below(4)))}}; },
         0.9, 0.1, 0.7},
    Kind{"many corners anywhere", [](scenes::Random& r) { return Area{{closed(r.chain(30))}}; }, 0.0, 0.0,
         0.1},
    Kind{"a spike out or in",
         [](scenes::Random& r) {
             Ring ring = r.star({}, 100, 900, 12);
             const std::size_t k = some_corner(r, ring);
             const Point p = ring[k];
             const double by = 1.5 * r.unit();
             ring.insert(ring.begin() + static_cast<std::ptrdiff_t>(k) + 1, {{p.x * by, p.y * by}, p});
             return Area{{closed(ring)}};
         },
         0.0, 0.0, 0.0},
    Kind{"a corner near or on an edge or a corner",
         [](scenes::Random& r) {
             Ring ring = r.star({}, 100, 900, 12);
             const std::size_t k = some_corner(r, ring);
             const Point a = ring[k], b = ring[(k + 1) % ring.size()];
             const double t = r.below(5) / 4.0;
             ring[some_corner(r, ring)] = {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y)};
             return Area{{closed(ring)}};
         },
         0.3, 0.05, 0.9},
    Kind{"holes anywhere",
         [](scenes::Random& r) {
             PolygonRings rings{star(r, {}, 500, 900)};
             for (int i = r.below(4); i >= 0; --i)
                 rings.push_back(
                     star(r, {700 * r.unit() - 350, 700 * r.unit() - 350}, 20, 20 + 80 * r.unit()));
             return Area{rings};
         },
         1.0, 0.1, 0.9},
    Kind{"holes with corners on a grid",
         [](scenes::Random& r) {
             PolygonRings rings{box(-500, -500, 500, 500)};
             for (int i = 0; i < 3; ++i) {
                 const Point p = r.snapped({900 * r.unit() - 500, 900 * r.unit() - 500});
                 rings.push_back(box(p.x, p.y, p.x + 100 + r.below(2) * 100, p.y + 100));
             }
             return Area{rings};
         },
         0.3, 0.1, 0.9},
    Kind{"polygons anywhere, some with holes",
         [](scenes::Random& r) {
             Area area;
             for (int i = 0; i < 3; ++i) {
                 const Point p = r.point();
                 area.push_back({star(r, p, 200, 400)});
                 if (r.below(2) == 0)
                     area.back().push_back(star(r, p, 50, 150));
             }
             return area;
         },
         0.9, 0.1, 0.9},
    Kind{"polygons in each other or in holes of each other",
         [](scenes::Random& r) {
             Area area{{star(r, {}, 700, 900), star(r, {}, 500, 600)}};
             area.push_back({star(r, {}, 10, r.below(2) == 0 ? 400 : 650)});
             if (r.below(3) == 0)
                 area.front().pop_back();
             std::rotate(area.begin(), area.begin() + r.below(2), area.end());
             return area;
         },
         0.0, 0.2, 0.8},
    Kind{"far off, where few digits are left",
         [](scenes::Random& r) {
             Ring ring = r.star({}, 1e-9, 2e-8, 8);
             for (Point& p : ring)
                 p = {p.x + 5e7, p.y - 5e7};
             return Area{{closed(ring)}};
         },
         0.9, 0.2, 0.9},
    Kind{"large ones with a corner elsewhere",
         [](scenes::Random& r) {
             Ring ring = r.star({}, 850, 900, 200 + r.below(1000));
             const std::size_t k = some_corner(r, ring);
             ring[k] = {ring[k].x + 40 * r.unit() - 20, ring[k].y + 40 * r.unit() - 20};
             return Area{{closed(ring)}};
         },
         1.0, 0.05, 0.95},
    Kind{"large ones with a hole near the edge",
         [](scenes::Random& r) {
             const double angle = 7 * r.unit(), from = 750 + 80 * r.unit();
             return Area{{closed(r.star({}, 850, 900, 300)),
                          closed(r.star({from * std::cos(angle), from * std::sin(angle)}, 40, 50, 100))}};
         },
         1.0, 0.2, 0.9},
};

} // namespace

TEST(ProvenValid, never_where_GEOS_finds_fault_and_nearly_always_where_it_does_not) {
    constexpr int each = 1500;
    for (const Kind& kind : kinds) {
        scenes::Random random(11, 1000, 100);
        int valid = 0, proven = 0;
        for (int i = 0; i < each; ++i) {
            const Area area = kind.make(random);
            const bool by_geos = valid_by_geos(area);
            valid += by_geos;
            if (proven_valid(area)) {
                EXPECT_TRUE(by_geos) << kind.name << " " << i;
                ++proven;
            }
        }
        EXPECT_GE(proven, kind.least_proven * valid) << kind.name;
        EXPECT_GE(valid, kind.least_valid * each) << kind.name;
        EXPECT_LE(valid, kind.most_valid * each) << kind.name;
    }
}

TEST(ProvenValid, leaves_what_is_not_whole_to_others) {
    const Ring good = box(0, 0, 100, 100);
    EXPECT_TRUE(proven_valid({}));
    EXPECT_TRUE(proven_valid({{good}}));
    EXPECT_FALSE(proven_valid({{}}));
    EXPECT_FALSE(proven_valid({{good}, {}}));
    EXPECT_FALSE(proven_valid({{good, {}}}));
    EXPECT_FALSE(proven_valid({{good, box(500, 0, 600, 100)}})); // a hole in nothing
    EXPECT_FALSE(proven_valid({{Ring(good.begin(), good.end() - 1)}}));
    EXPECT_FALSE(proven_valid({{{{0, 0}, {100, 0}, {100, 100}, {0, 0.1}}}}));
    EXPECT_FALSE(proven_valid({{{{0, 0}, {100, 0}, {100, 0}, {0, 0}}}}));
    EXPECT_FALSE(proven_valid({{{{0, 0}, {0, 0}, {0, 0}, {0, 0}}}}));
    for (const double bad :
         {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity(), -1e300, 2e9})
        for (std::size_t i = 1; i < 4; ++i) {
            Ring ring = good;
            ring[i].y = bad;
            EXPECT_FALSE(proven_valid({{ring}})) << bad;
            EXPECT_FALSE(proven_valid({{good, ring}})) << bad;
        }
    // A corner that moves next to nothing off an edge is nearer than rounding tells.
    EXPECT_FALSE(proven_valid({{{{0, 0}, {300, 100}, {300, 300}, {150, 50.000000000000007}, {0, 0}}}}));
    // Products of these are too small to be rounded well.
    EXPECT_FALSE(proven_valid({{{{0, 0}, {1e-160, 0}, {1e-160, 1e-160}, {0, 0}}}}));
}

// Every edge's box meets every other's: looking at all pairs would take far longer than GEOS.
TEST(ProvenValid, gives_up_before_it_takes_long) {
    const auto zigzag = [](int teeth) {
        Ring ring;
        for (int i = 0; i < teeth; ++i) {
            ring.push_back({i * 1.0, -i * 1.0});
            ring.push_back({1e6 + i, 1e6 - i - 0.5});
        }
        ring.push_back({1e6 + teeth, -2e6});
        ring.push_back({-1e6, -2e6});
        return Area{{closed(ring)}};
    };
    EXPECT_TRUE(proven_valid(zigzag(50)));
    EXPECT_TRUE(valid_by_geos(zigzag(1000)));
    EXPECT_FALSE(proven_valid(zigzag(50'000)));
}
