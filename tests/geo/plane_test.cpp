#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>
#include <span>
#include <string>

#include <proj.h>

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

/// PROJ's own laea, asked as the plane asks it.
class Bare {
  public:
    explicit Bare(Position centre) : centre_(centre) {
        const auto lat = std::to_string(centre.lat_deg);
        laea_ = proj_create(nullptr, ("+proj=laea +lat_0=" + lat + " +lon_0=0 +ellps=WGS84").c_str());
    }
    ~Bare() { proj_destroy(laea_); }
    Bare(const Bare&) = delete;
    Bare& operator=(const Bare&) = delete;
    Point operator()(Position p) const {
        const double east = longitude_near(p.lon_deg, centre_.lon_deg) - centre_.lon_deg;
        constexpr double radians = std::numbers::pi / 180.0;
        const auto out = proj_trans(laea_, PJ_FWD, proj_coord(east * radians, p.lat_deg * radians, 0, 0));
        return {out.xy.x, out.xy.y};
    }

  private:
    Position centre_;
    PJ* laea_;
};

} // namespace

TEST(Plane, polynomials_lie_by_PROJ) {
    constexpr int steps = 60;
    double worst = 0.0;
    for (const double lat :
         {-80.0, -75.0, -50.5, -20.0, -0.25, 0.0, 10.0, 37.75, 50.0, 60.0, 70.0, 75.0, 80.0}) {
        const Position centre{179.75, lat};
        const Plane plane(centre);
        const Bare bare(centre);
        const double widest = 1.0 / std::cos(lat * std::numbers::pi / 180.0);
        int other_bits = 0;
        for (int i = -steps; i <= steps; ++i)
            for (int k = -steps; k <= steps; ++k) {
                const Position p{centre.lon_deg + widest * i / steps, lat + 1.0 * k / steps};
                const Point fitted = plane.to_plane(p), exact = bare(p);
                worst = std::max({worst, std::abs(fitted.x - exact.x), std::abs(fitted.y - exact.y)});
                other_bits += !(fitted == exact);
            }
        EXPECT_LT(worst, 1e-7) << lat;
        EXPECT_GT(other_bits, steps * steps) << lat; // they are in use
        // Beyond, PROJ's own.
        for (const double way : {-1.0, 1.0})
            for (const Position p : {Position{centre.lon_deg + way * (widest + 1e-9), lat},
                                     Position{centre.lon_deg + way * 30, lat - 0.5 * way},
                                     Position{centre.lon_deg, lat + way * (1.0 + 1e-9)}})
                EXPECT_EQ(plane.to_plane(p), bare(p)) << lat;
    }
    RecordProperty("worst_metres", std::to_string(worst * 1e9) + "e-9");
    // No polynomials near the poles.
    for (const double lat : {-90.0, -80.5, 81.0, 90.0}) {
        const Plane plane({10, lat});
        const Bare bare({10, lat});
        for (const Position p : {Position{10.1, lat < 0 ? lat + 0.1 : lat - 0.1}, Position{-60, lat}})
            EXPECT_EQ(plane.to_plane(p), bare(p)) << lat;
    }
}

// Areas and routes share corners: whoever asks, and with whatever else, must get the same.
TEST(Plane, a_place_has_one_image) {
    std::mt19937_64 random(4);
    std::uniform_real_distribution<double> unit(-1.0, 1.0);
    const Plane plane({-5, 50}), again({-5, 50});
    std::vector<Position> places;
    for (int i = 0; i < 3000; ++i)
        places.push_back({-5 + 2.5 * unit(random), 50 + 1.5 * unit(random)});
    std::vector<Point> all;
    plane.to_plane(places, all);
    ASSERT_EQ(all.size(), places.size());
    for (std::size_t i = 0; i < places.size(); ++i) {
        EXPECT_EQ(all[i], again.to_plane(places[i]));
        std::vector<Point> some;
        again.to_plane(std::span(places).subspan(i, std::min<std::size_t>(3, places.size() - i)), some);
        EXPECT_EQ(all[i], some.front());
        EXPECT_EQ(all[i + some.size() - 1], some.back());
    }
    EXPECT_THROW(plane.to_plane(std::vector<Position>{{-5, 50}, {-5, 95}, {-5, 50}}, all),
                 dangerline::Failure);
}

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
