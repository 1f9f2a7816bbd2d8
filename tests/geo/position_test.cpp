#include <gtest/gtest.h>

#include <cmath>

#include <GeographicLib/UTMUPS.hpp>

#include "dangerline/base/error.hpp"
#include "dangerline/geo/position.hpp"
#include "dangerline/geo/regions.hpp"
#include "support/support.hpp"

using namespace dangerline::geo;

namespace {

double number(const std::map<std::string, std::string>& row, const char* name) {
    return std::stod(row.at(name));
}

double dms(double degrees, double minutes, double seconds = 0.0) {
    return degrees + minutes / 60 + seconds / 3600;
}

void expect_same_course(double got_deg, double want_deg, double tolerance_deg = 1e-9) {
    EXPECT_GE(got_deg, 0.0);
    EXPECT_LT(got_deg, 360.0);
    EXPECT_NEAR(std::remainder(got_deg - want_deg, 360.0), 0.0, tolerance_deg);
}

constexpr double nautical_mile = 1852.0;

} // namespace

TEST(Longitude, normal_and_near) {
    EXPECT_EQ(normal_longitude(180.0), -180.0);
    EXPECT_EQ(normal_longitude(-180.0), -180.0);
    EXPECT_EQ(normal_longitude(540.5), -179.5);
    EXPECT_EQ(normal_longitude(12.3456789), 12.3456789);
    EXPECT_EQ(longitude_near(-179.0, 179.0), 181.0);
    EXPECT_EQ(longitude_near(12.3456789, 10.0), 12.3456789);
}

// testdata/geo/geodtest.csv names its source.
TEST(Geodesic, published_lines) {
    const auto rows = support::read_table(support::testdata() / "geo/geodtest.csv");
    ASSERT_EQ(rows.size(), 20U);
    for (const auto& row : rows) {
        const Position a{number(row, "lon1_deg"), number(row, "lat1_deg")};
        const Position b{number(row, "lon2_deg"), number(row, "lat2_deg")};
        const Course course = geodesic_between(a, b);
        EXPECT_NEAR(course.metres, number(row, "s12_m"), 1e-3);
        expect_same_course(course.start_deg, number(row, "azi1_deg"));
        expect_same_course(course.end_deg, number(row, "azi2_deg"));
        const Position end = geodesic_destination(a, number(row, "azi1_deg"), number(row, "s12_m"));
        EXPECT_NEAR(end.lat_deg, b.lat_deg, 1e-9);
        EXPECT_NEAR(std::remainder(end.lon_deg - b.lon_deg, 360.0), 0.0, 1e-9);
    }
}

TEST(Rhumb, reference_lines) {
    const auto rows = support::read_table(support::testdata() / "geo/rhumb.csv");
    ASSERT_EQ(rows.size(), 14U);
    for (const auto& row : rows) {
        const Position a{number(row, "lon1"), number(row, "lat1")},
            b{number(row, "lon2"), number(row, "lat2")};
        const Course rhumb = rhumb_between(a, b), geodesic = geodesic_between(a, b);
        EXPECT_NEAR(rhumb.metres, number(row, "rhumb_s12_m"), 1e-3) << row.at("case");
        EXPECT_NEAR(geodesic.metres, number(row, "geod_s12_m"), 1e-3) << row.at("case");
        if (a == b)
            continue;
        expect_same_course(rhumb.start_deg, number(row, "rhumb_azi_deg"));
        expect_same_course(rhumb.end_deg, number(row, "rhumb_azi_deg"));
        expect_same_course(geodesic.start_deg, number(row, "geod_azi1_deg"));
    }
}

TEST(Rhumb, reference_destinations) {
    const auto rows = support::read_table(support::testdata() / "geo/direct.csv");
    ASSERT_EQ(rows.size(), 10U);
    for (const auto& row : rows) {
        const Position a{number(row, "lon1"), number(row, "lat1")};
        const auto destination = row.at("kind") == "rhumb" ? rhumb_destination : geodesic_destination;
        const Position b = destination(a, number(row, "azi_deg"), number(row, "s12_m"));
        EXPECT_NEAR(b.lat_deg, number(row, "lat2"), 1e-9) << row.at("case");
        EXPECT_NEAR(normal_longitude(b.lon_deg), number(row, "lon2"), 1e-9) << row.at("case");
        EXPECT_LE(std::abs(b.lon_deg - a.lon_deg), 180.0);
    }
}

// Draper, Lectures in Navigation, 1918, Mercator sailing: course S 53 26 E, 62.11 miles. Worked with tables
// on another spheroid: a minute of arc and a tenth of a mile.
TEST(Rhumb, draper_1918) {
    const Course c = rhumb_between({-dms(73, 50), dms(40, 28)}, {-dms(72, 45), dms(39, 51)});
    EXPECT_NEAR(c.metres / nautical_mile, 62.11, 0.1);
    EXPECT_NEAR(c.start_deg, 180.0 - dms(53, 26), 1.0 / 60.0);
}

// Shufeldt and Newcomer's example as corrected by its readers: 241.14 degrees, 159.03 nautical miles, worked
// with meridional parts: 0.01 degree and a tenth of a mile.
TEST(Rhumb, shufeldt_and_newcomer) {
    const Course c = rhumb_between({-dms(102, 54, 16), dms(43, 21, 16)}, {-dms(106, 3, 8), dms(42, 4, 30)});
    EXPECT_NEAR(c.metres / nautical_mile, 159.03, 0.1);
    EXPECT_NEAR(c.start_deg, 241.14, 0.01);
}

// GeographicLib's manual pages GeodSolve and RhumbSolve, JFK to Changi, printed to 0.1 second and 1 m.
TEST(Rhumb, jfk_to_changi) {
    const double tenth_of_second = 0.05 / 3600 + 1e-9;
    const Position jfk{-dms(73, 46, 44), dms(40, 38, 23)}, changi{dms(103, 59, 22), dms(1, 21, 33)};
    const Course shortest = geodesic_between(jfk, changi), rhumb = rhumb_between(jfk, changi);
    EXPECT_NEAR(shortest.metres, 15347628, 0.5);
    EXPECT_NEAR(shortest.start_deg, dms(3, 18, 29.9), tenth_of_second);
    EXPECT_NEAR(shortest.end_deg, dms(177, 29, 9.2), tenth_of_second);
    EXPECT_NEAR(rhumb.metres, 18523563, 0.5);
    EXPECT_NEAR(rhumb.start_deg, dms(103, 34, 58.2), tenth_of_second);
    const Position way = rhumb_destination(jfk, rhumb.start_deg, 2e6);
    EXPECT_NEAR(way.lat_deg, dms(36, 24, 30.3), tenth_of_second);
    EXPECT_NEAR(way.lon_deg, -dms(51, 28, 26.4), tenth_of_second);
}

TEST(Rhumb, coincident_places_and_the_pole) {
    for (const Position p : {Position{10, 45}, Position{180, 0}, Position{0, 90}}) {
        const Course a = rhumb_between(p, p), b = geodesic_between(p, p);
        EXPECT_EQ(a.metres, 0.0);
        EXPECT_EQ(a.start_deg, 0.0);
        EXPECT_EQ(b.metres, 0.0);
        EXPECT_EQ(b.start_deg, 0.0);
    }
    EXPECT_EQ(rhumb_between({180, 10}, {-180, 10}).metres, 0.0);
    EXPECT_THROW(rhumb_destination({0, 89.9}, 10.0, 100'000.0), dangerline::Failure);
}

// GeographicLib's manual page Planimeter: the 100 km MGRS square 18SWK.
TEST(EllipsoidArea, published_square) {
    std::vector<Position> ring;
    for (const auto& [east, north] : {std::pair{5e5, 44e5}, {6e5, 44e5}, {6e5, 45e5}, {5e5, 45e5}}) {
        Position p;
        GeographicLib::UTMUPS::Reverse(18, true, east, north, p.lat_deg, p.lon_deg);
        ring.push_back(p);
    }
    EXPECT_NEAR(ellipsoid_perimeter(ring, Edges::geodesic), 400139.532959, 1e-5);
    EXPECT_NEAR(ellipsoid_area(ring, Edges::geodesic), 10007388597.2, 0.1);
}

// Computed with GeographicLib 2.1.2, Planimeter -p 6.
TEST(EllipsoidArea, reference_polygons) {
    std::vector<Position> ring{{-5, 50}, {-4, 50}, {-4, 51}, {-5, 51}};
    EXPECT_NEAR(ellipsoid_area(ring, Edges::geodesic), 7892061583.2, 0.1);
    EXPECT_NEAR(ellipsoid_area(ring), 7892218858.0, 0.1);
    EXPECT_NEAR(ellipsoid_perimeter(ring, Edges::geodesic), 364369.720880, 1e-5);
    EXPECT_NEAR(ellipsoid_perimeter(ring), 364370.793006, 1e-5);
    std::reverse(ring.begin(), ring.end());
    ring.push_back(ring.front());
    EXPECT_NEAR(ellipsoid_area(ring), 7892218858.0, 0.1);
    const std::vector<Position> across{{179.5, -17}, {-179.5, -17}, {-179.5, -16.5}, {179.5, -16.5}};
    EXPECT_NEAR(ellipsoid_perimeter(across, Edges::geodesic), 323916.328204, 1e-5);
    EXPECT_NEAR(ellipsoid_area(across, Edges::geodesic), 5900061489.7, 0.1);
    EXPECT_EQ(ellipsoid_area({{0, 50}, {1, 50}}), 0.0);
}
