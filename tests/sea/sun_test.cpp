#include "dangerline/sea/sun.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::sea;

namespace {

constexpr double day_s = 86400.0;

Instant utc(const std::string& text) {
    return parse_iso_utc(text).value();
}

/// "0902" of that day.
Instant on_day(Instant day, const std::string& hhmm) {
    return day + 60.0 * (60.0 * std::stoi(hhmm.substr(0, 2)) + std::stoi(hhmm.substr(2, 2)));
}

/// The crossing nearest to t within an hour.
std::optional<Instant> near(const std::vector<SunCrossing>& all, Instant t, bool rising) {
    std::optional<Instant> best;
    for (const auto& c : all)
        if (c.rising == rising && std::abs(c.at - t) < 3600.0 &&
            (!best || std::abs(c.at - t) < std::abs(*best - t)))
            best = c.at;
    return best;
}

} // namespace

// U.S. Naval Observatory tables of 2019, to the minute.
TEST(Sun, RisesAndSetsWithinAMinuteOfTheTables) {
    const auto rows = support::read_table(support::testdata() / "sea/usno_sun_2019.csv");
    int events = 0;
    for (const auto& row : rows) {
        const geo::Position place{std::stod(row.at("lon_deg")), std::stod(row.at("lat_deg"))};
        const Instant day = start_of(parse_day(row.at("date_UT")).value());
        for (const bool rising : {true, false}) {
            const std::string& said = row.at(rising ? "sunrise_UT_hhmm" : "sunset_UT_hhmm");
            SCOPED_TRACE(row.at("lat_deg") + " " + row.at("date_UT") + " " + said);
            if (said.find_first_of("0123456789") == std::string::npos)
                continue;
            const auto found =
                near(sun_crossings(place, sunrise_altitude_deg, day - day_s, day + 2.0 * day_s),
                     on_day(day, said), rising);
            ASSERT_TRUE(found);
            EXPECT_LE(std::abs(*found - on_day(day, said)), 60.0);
            ++events;
        }
    }
    EXPECT_GE(events, 240);
}

// The same tables at 80 N: first sunrise, polar day and night, and the days with one event only.
TEST(Sun, TellsPolarDayNightAndDaysOfOneEventApart) {
    using Kind = SunDay::Kind;
    const auto rows = support::read_table(support::testdata() / "sea/usno_sun_2019.csv");
    int seen = 0, odd = 0;
    for (const auto& row : rows) {
        if (row.at("lat_deg") != "80")
            continue;
        SCOPED_TRACE(row.at("date_UT"));
        const Instant day = start_of(parse_day(row.at("date_UT")).value());
        const std::string &rise = row.at("sunrise_UT_hhmm"), &set = row.at("sunset_UT_hhmm");
        const Kind expected = rise == "----"   ? Kind::down
                              : rise == "****" ? Kind::up
                              : set == "none"  ? Kind::rises_only
                              : rise == "none" ? Kind::sets_only
                                               : Kind::rises_and_sets;
        const SunDay found = sun_day({0.0, 80.0}, sunrise_altitude_deg, day, day + day_s);
        EXPECT_EQ(found.kind, expected);
        odd += expected != Kind::rises_and_sets;
        ++seen;
    }
    EXPECT_EQ(seen, 20);
    EXPECT_EQ(odd, 8);
}

// Three libraries that agree within seconds (see the table's head).
TEST(Sun, AgreesWithThreeLibraries) {
    for (const auto& row : support::read_table(support::testdata() / "sea/sun_library_2026.csv")) {
        const std::string& event = row.at("event");
        if (event == "transit")
            continue;
        const std::string said = row.at("pyephem_UTC");
        const geo::Position place{std::stod(row.at("lon_deg")), std::stod(row.at("lat_deg"))};
        const double altitude =
            event.starts_with("civil") ? civil_twilight_altitude_deg : sunrise_altitude_deg;
        const bool rising =
            event.find("dawn") != std::string::npos || event.find("rise") != std::string::npos;
        const Instant noon =
            start_of(parse_day(row.at("local_solar_date")).value()) + (12.0 - place.lon_deg / 15.0) * 3600.0;
        const auto all = sun_crossings(place, altitude, noon - 0.5 * day_s, noon + 0.5 * day_s);
        SCOPED_TRACE(row.at("place") + " " + row.at("local_solar_date") + " " + event + " " + said);
        const auto t = parse_iso_utc(said);
        if (!t) {
            EXPECT_TRUE(all.empty());
            continue;
        }
        const auto found = near(all, *t, rising);
        ASSERT_TRUE(found);
        EXPECT_LE(std::abs(*found - *t), std::abs(place.lat_deg) < 69.0 ? 10.0 : 30.0);
    }
}

// U.S. Naval Observatory values for Raleigh, as a test of adhan-js states them.
TEST(Sun, KnowsCivilTwilight) {
    const geo::Position raleigh{-(78.0 + 39.0 / 60.0), 35.0 + 47.0 / 60.0};
    const Instant day = utc("2015-07-12T00:00Z");
    const SunDay sun = sun_day(raleigh, sunrise_altitude_deg, day + 6.0 * 3600.0, day + 30.0 * 3600.0);
    const SunDay light =
        sun_day(raleigh, civil_twilight_altitude_deg, day + 6.0 * 3600.0, day + 30.0 * 3600.0);
    EXPECT_NEAR((*light.rise - day) / 60.0, 9 * 60 + 38, 1.0);
    EXPECT_NEAR((*sun.rise - day) / 60.0, 10 * 60 + 8, 1.0);
    EXPECT_NEAR((*sun.set - day) / 60.0, 24 * 60 + 32, 1.0);
    EXPECT_NEAR((*light.set - day) / 60.0, 25 * 60 + 2, 1.0);
}

// NREL SPA (pvlib's test of it): altitude without refraction, parallax of 8" left out here.
TEST(Sun, StandsAtThePublishedAltitude) {
    const double degrees =
        sun_altitude_rad({-105.1786, 39.742476}, utc("2003-10-17T19:30:30Z")) * 180.0 / std::numbers::pi;
    EXPECT_NEAR(degrees, 39.872046, 0.01);
}

TEST(Sun, IsUpInASetThatFitsItsCrossings) {
    const Instant from = utc("2026-06-01T00:00Z"), to = utc("2026-06-08T00:00Z");
    const TimeSet up = sun_above({-28.0, 46.0}, sunrise_altitude_deg, from, to);
    EXPECT_EQ(up.intervals().size(), 7U);
    EXPECT_NEAR(up.length_s() / 3600.0 / 7.0, 15.5, 0.2); // day length at 46 N in June
    for (double t = 0.0; t < to - from; t += 1234.5)
        EXPECT_EQ(up.contains(from + t), sun_altitude_rad({-28.0, 46.0}, from + t) >
                                             sunrise_altitude_deg * std::numbers::pi / 180.0);
    EXPECT_EQ(sun_above({0.0, 89.9}, sunrise_altitude_deg, from, to), TimeSet({from, to}));
    EXPECT_TRUE(sun_above({0.0, -89.9}, sunrise_altitude_deg, from, to).empty());
    EXPECT_TRUE(sun_crossings({0.0, 0.0}, 0.0, to, from).empty());
}
