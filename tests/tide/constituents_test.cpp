#include <gtest/gtest.h>

#include <cmath>

#include "dangerline/tide/constituents.hpp"
#include "tide/stations.hpp"

using namespace dangerline;
using namespace dangerline::tide;
using stations::number;

namespace {

std::vector<std::map<std::string, std::string>> table(const std::string& name) {
    return support::read_table(support::testdata() / "tide" / name);
}

/// Shortest way round the circle.
double apart_deg(double a, double b) {
    return std::abs(std::remainder(a - b, 360.0));
}

} // namespace

// IHO TWCWG list of standard constituents (8 May 2017).
TEST(Constituents, speeds_equal_the_list_of_the_hydrographic_organization) {
    const auto rows = table("constituents.csv");
    ASSERT_EQ(rows.size(), 37U);
    ASSERT_EQ(standard_constituents().size(), 37U);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        EXPECT_EQ(standard_constituents()[i].name, rows[i].at("noaa_name"));
        EXPECT_EQ(standard_constituents()[i].speed_deg_per_hour, number(rows[i].at("speed_deg_per_hour")));
    }
    EXPECT_EQ(find_constituent("K1")->speed_deg_per_hour, 15.0410686);
    EXPECT_EQ(find_constituent("k1"), nullptr);
    EXPECT_EQ(find_constituent(""), nullptr);
}

// The integers of an argument and its speed are two statements of the same thing. M1 advances on purpose at
// another speed than its V (NOAA practice).
TEST(Constituents, arguments_advance_at_their_speeds) {
    const Instant t = stations::utc("2026-03-01T00:00:00Z");
    for (const auto& c : standard_constituents()) {
        const double after = equilibrium_argument_deg(c, t + 100 * 3600.0);
        const double advance = c.speed_deg_per_hour * 100.0;
        EXPECT_NEAR(apart_deg(after, equilibrium_argument_deg(c, t) + advance), c.name == "M1" ? 0.464 : 0.0,
                    1e-3)
            << c.name;
    }
}

// UTide tests/test_astron.py; tolerance between the polynomial sets 0.02 degrees.
TEST(Constituents, longitudes_of_moon_and_sun) {
    for (const auto& row : table("longitudes.csv")) {
        const Instant t = stations::utc(row.at("utc"));
        const Longitudes at = longitudes_at(t);
        EXPECT_LT(apart_deg(at.s_deg, number(row.at("s"))), 0.02);
        EXPECT_LT(apart_deg(at.h_deg, number(row.at("h"))), 0.02);
        EXPECT_LT(apart_deg(at.p_deg, number(row.at("p"))), 0.02);
        EXPECT_LT(apart_deg(-at.node_deg, number(row.at("n_prime"))), 0.02);
        EXPECT_LT(apart_deg(at.p1_deg, number(row.at("p1"))), 0.02);
        const double day = t.unix_seconds() / 86400.0;
        EXPECT_LT(apart_deg(360.0 * (day - std::floor(day)) + at.h_deg - at.s_deg, number(row.at("tau"))),
                  0.02);
    }
}

// NOAA practice for 2026, validated against NOAA's own predictions.
TEST(Constituents, factors_of_2026_follow_noaa_practice) {
    for (const auto& row : table("noaa_practice_2026.csv")) {
        const auto& name = row.at("constituent");
        const YearFactors y = year_factors(*find_constituent(name), 2026);
        EXPECT_NEAR(y.f, number(row.at("f_mid_2026")), 0.0002) << name;
        EXPECT_LT(apart_deg(y.u_deg, number(row.at("u_mid_2026_deg"))), 0.01) << name;
        EXPECT_LT(apart_deg(y.v0_deg, number(row.at("V0_greenwich_2026-01-01T00Z_deg"))), 0.01) << name;
        EXPECT_LT(apart_deg(y.v0_deg + y.u_deg, number(row.at("V0_plus_u_deg"))), 0.01) << name;
    }
}

// Library values (see the file), rounded to 1e-4. The library lets the obliquity of the ecliptic change,
// Schureman keeps that of 1900: measured up to 0.0003, for Mf 0.0009.
TEST(Constituents, node_factors_over_a_century) {
    for (const auto& row : table("node_factors.csv"))
        for (const auto& [year, f] : row) {
            if (year == "constituent")
                continue;
            EXPECT_NEAR(year_factors(*find_constituent(row.at("constituent")), std::stoi(year)).f, number(f),
                        row.at("constituent") == "MF" ? 0.001 : 0.0003)
                << row.at("constituent") << ' ' << year;
        }
}

// Library values; the polynomials for the moon differ by up to 0.02 degrees, N2 carries three times that.
TEST(Constituents, arguments_at_the_start_of_years) {
    for (const auto& row : table("arguments_1_january.csv"))
        for (const auto& [year, degrees] : row) {
            if (year == "constituent")
                continue;
            const Constituent& c = *find_constituent(row.at("constituent"));
            const Instant t = start_of({std::stoi(year), 1, 1});
            const double v_u = equilibrium_argument_deg(c, t) + node_factor(c, longitudes_at(t)).u_deg;
            EXPECT_LT(apart_deg(v_u, number(degrees)), 0.06) << c.name << ' ' << year;
        }
}

// Extremes of f over the 18.6-year cycle, Schureman Table 14 (from memory, 0.001).
TEST(Constituents, node_factors_stay_within_their_cycle) {
    const std::map<std::string, std::pair<double, double>> bounds{
        {"M2", {0.963, 1.038}}, {"K1", {0.882, 1.113}}, {"O1", {0.806, 1.183}}, {"K2", {0.747, 1.317}}};
    for (const auto& [name, bound] : bounds) {
        double least = 9.0, most = 0.0;
        for (int year = 1990; year < 2017; ++year) {
            const double f = year_factors(*find_constituent(name), year).f;
            least = std::min(least, f);
            most = std::max(most, f);
        }
        EXPECT_NEAR(least, bound.first, 0.001) << name;
        EXPECT_NEAR(most, bound.second, 0.001) << name;
    }
}
