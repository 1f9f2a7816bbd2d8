#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <random>

#include "dangerline/base/error.hpp"
#include "dangerline/geo/plane.hpp"

using namespace dangerline::geo;

namespace {

double distance(Point a, Point b) {
    return std::hypot(a.x - b.x, a.y - b.y);
}

double off_chord(Point p, Point a, Point b) {
    return std::abs((b.x - a.x) * (p.y - a.y) - (b.y - a.y) * (p.x - a.x)) / distance(a, b);
}

// The largest distance of a rhumb line from its chord in the plane, by points along it.
double departure(const Plane& plane, Position from, Position to) {
    const Course course = rhumb_between(from, to);
    const Point a = plane.to_plane(from), b = plane.to_plane(to);
    double worst = 0.0;
    for (int i = 1; i < 40; ++i)
        worst = std::max(worst, off_chord(plane.to_plane(rhumb_destination(from, course.start_deg,
                                                                           course.metres * i / 40)),
                                          a, b));
    return worst;
}

} // namespace

TEST(Plane, distances_keep_the_promised_scale_error) {
    std::mt19937_64 random(1);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    double tightest = 0.0;
    for (double lat = -75; lat <= 75; lat += 7.5) {
        const Position centre{179.0, lat};
        const Plane plane(centre);
        for (const double radius : {1e3, 1e4, 5e4, Plane::working_radius})
            for (int i = 0; i < 500; ++i) {
                const auto place = [&] {
                    return geodesic_destination(centre, 360 * unit(random), radius * std::sqrt(unit(random)));
                };
                const Position a = place();
                const Position b = i % 2 ? place() : geodesic_destination(a, 360 * unit(random), radius / 50);
                const double truth = geodesic_between(a, b).metres;
                const double error = std::abs(distance(plane.to_plane(a), plane.to_plane(b)) / truth - 1.0);
                const double bound = Plane::scale_error(
                    std::max(geodesic_between(centre, a).metres, geodesic_between(centre, b).metres));
                EXPECT_LE(error, bound + 1e-10 * radius / truth) << lat << " " << radius;
                if (radius == Plane::working_radius)
                    tightest = std::max(tightest, error / bound);
            }
    }
    // The bound is of use: no more than twice what is met.
    EXPECT_GT(tightest, 0.5);
    EXPECT_LT(Plane::scale_error(Plane::working_radius), 5.5e-5);
    RecordProperty("share_of_the_bound_met", std::to_string(tightest));
}

TEST(Plane, goes_there_and_back) {
    const Plane plane({179.9, -60.0});
    EXPECT_NEAR(plane.to_plane(plane.centre()).x, 0.0, 1e-6);
    EXPECT_NEAR(plane.to_plane(plane.centre()).y, 0.0, 1e-6);
    for (const Position p : {Position{180.4, -60.2}, Position{-179.6, -59.5}, Position{179.0, -60.5}}) {
        const Position back = plane.to_position(plane.to_plane(p));
        EXPECT_NEAR(back.lat_deg, p.lat_deg, 2e-9); // PROJ gives the latitude back to 0.2 mm
        EXPECT_NEAR(back.lon_deg, longitude_near(p.lon_deg, 179.9), 1e-9);
    }
    EXPECT_EQ(plane.to_plane({-179.5, -60}), plane.to_plane({180.5, -60}));
    std::vector<Point> many{{1, 2}};
    const std::vector<Position> places{{180.4, -60.2}, {179.0, -60.5}};
    plane.to_plane(places, many);
    ASSERT_EQ(many.size(), 3U);
    EXPECT_EQ(many[1], plane.to_plane(places[0]));
    EXPECT_EQ(many[2], plane.to_plane(places[1]));
}

TEST(Plane, refuses_what_has_no_image) {
    const Plane plane({-5, 50});
    EXPECT_THROW(plane.to_plane({50, -95}), dangerline::Failure);
    EXPECT_THROW(plane.to_plane({std::nan(""), 50}), dangerline::Failure);
    EXPECT_THROW(plane.to_plane({-5, std::nan("")}), dangerline::Failure);
    EXPECT_THROW(plane.to_position({1e9, 0}), dangerline::Failure);
    EXPECT_THROW(Plane({0, 91}), dangerline::Failure);
}

TEST(Sagitta, bounds_every_rhumb_line) {
    std::mt19937_64 random(2);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    double tightest = 0.0;
    for (int i = 0; i < 4000; ++i) {
        const Position centre{-180 + 360 * unit(random), 75.0 * unit(random)};
        const Plane plane(centre);
        const Position from = geodesic_destination(centre, 360 * unit(random), 80'000 * unit(random));
        const double metres = 100 + 19'900 * unit(random);
        const double course = i % 3 ? 360 * unit(random) : 90.0;
        const Position to = rhumb_destination(from, course, metres);
        if (std::max(std::abs(from.lat_deg), std::abs(to.lat_deg)) > 75)
            continue;
        const double away = std::max(distance(plane.to_plane(from), {}), distance(plane.to_plane(to), {}));
        const double bound =
            plane.sagitta(metres, std::max(std::abs(from.lat_deg), std::abs(to.lat_deg)), away);
        const double worst = departure(plane, from, to);
        EXPECT_LE(worst, bound + 1e-8) << centre.lat_deg << " " << metres << " " << course;
        tightest = std::max(tightest, worst / bound);
    }
    EXPECT_GT(tightest, 0.9);
    RecordProperty("share_of_the_bound_met", std::to_string(tightest));
}

TEST(Sagitta, of_a_mile_and_of_ten_at_50_degrees) {
    // L^2 tan(lat) / 8 R by hand: 1852^2 * 1.19175 / (8 * 6371000) = 0.080 m.
    const Plane plane({-5, 50});
    EXPECT_NEAR(plane.sagitta(1852, 50, 0), 0.080, 0.001);
    EXPECT_NEAR(departure(plane, {-5, 50}, rhumb_destination({-5, 50}, 90, 18520)), 8.0, 0.1);
}

TEST(RhumbChain, chords_stay_by_their_lines) {
    std::mt19937_64 random(3);
    std::uniform_real_distribution<double> unit(0.0, 1.0);
    for (int i = 0; i < 40; ++i) {
        const Position centre{170 + 20 * unit(random), 75.0 * unit(random)};
        const Plane plane(centre);
        std::vector<Position> places;
        for (int k = 0; k < 4; ++k)
            places.push_back(geodesic_destination(centre, 360 * unit(random), 60'000 * unit(random)));
        places.push_back(places.back()); // a doubled place
        const double limit = 0.1;
        const auto chain = plane.rhumb_chain(places, limit);
        std::size_t at = 0;
        for (std::size_t k = 0; k + 1 < places.size(); ++k) {
            ASSERT_EQ(chain[at], plane.to_plane(places[k]));
            std::size_t end = at + 1;
            while (!(chain[end] == plane.to_plane(places[k + 1])))
                ++end;
            const Course course = rhumb_between(places[k], places[k + 1]);
            for (int s = 0; s <= 400 && course.metres > 0.0; ++s) {
                const Point p =
                    plane.to_plane(rhumb_destination(places[k], course.start_deg, course.metres * s / 400.0));
                double off = 1e9;
                for (std::size_t j = at; j < end; ++j)
                    if (distance(p, chain[j]) + distance(p, chain[j + 1]) <
                        distance(chain[j], chain[j + 1]) + 1.0)
                        off = std::min(off, off_chord(p, chain[j], chain[j + 1]));
                EXPECT_LE(off, limit);
            }
            at = end;
        }
        EXPECT_EQ(at + 1, chain.size());
        // Run the other way an edge gets the same vertices.
        std::reverse(places.begin(), places.end());
        auto back = plane.rhumb_chain(places, limit);
        std::reverse(back.begin(), back.end());
        EXPECT_EQ(back, chain);
    }
}

TEST(RhumbChain, short_edges_are_left_alone) {
    const Plane plane({-5, 50});
    const std::vector<Position> places{{-5, 50}, {-5.001, 50.001}, {-5.002, 50.0}};
    EXPECT_EQ(plane.rhumb_chain(places, 0.1).size(), 3U);
    EXPECT_TRUE(plane.rhumb_chain({}, 0.1).empty());
}
