#include "dangerline/jobs/stations.hpp"

#include <algorithm>
#include <cmath>

#include <gtest/gtest.h>

#include "dangerline/base/error.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/jobs/load.hpp"
#include "dangerline/jobs/tide.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::jobs;

namespace {

Instant utc(const std::string& text) {
    return parse_iso_utc(text).value();
}

const std::string head =
    "zone = \"UTC\"\ncharts = [\"chart\"]\nboat = { draught_m = 0.5, speed = \"7 m/s\" }\n";
const Instant from = utc("2026-06-01T00:00Z"), to = utc("2026-06-02T00:00Z");

/// Writes the files of a standard and a secondary port and the plan of both.
struct Ports {
    support::TemporaryFolder folder;
    explicit Ports(const std::string& table_columns = "time,kind,height_m", const std::string& end = "") {
        std::string table = table_columns + "\n";
        for (const char* row :
             {"2026-05-31T18:00Z,LW,0.4", "2026-06-01T00:10Z,HW,4.2", "2026-06-01T06:20Z,LW,0.4",
              "2026-06-01T12:30Z,HW,4.6", "2026-06-01T18:40Z,LW,0.5", "2026-06-02T00:50Z,HW,4.0"})
            table += row + end + "\n";
        folder.file("week.csv", table);
        folder.file("rook.csv", "item,at,value\nhw_time_min,,30\nlw_time_min,,40\nhw_height_m,4.2,1.1\n"
                                "hw_height_m,3.4,0.8\nlw_ratio,,0.5\n");
    }
    plan::Plan plan(const std::string& more) const {
        return plan::read(folder.file("plan.toml", head + more));
    }
};

const std::string standard = "[[tide]]\nname = \"Gannet Sound\"\nkind = \"table\"\ntable = \"week.csv\"\n";
const std::string secondary = "[[tide]]\nname = \"Rook Quay\"\nkind = \"secondary\"\nof = \"Gannet "
                              "Sound\"\ndifferences = \"rook.csv\"\n"
                              "position = [-27.9, 46.1]\ndatum = 23\n";

double height(const TideOfPlan& tide, const std::string& time) {
    const auto h = tide.station.prediction.curve.height(utc(time));
    return h ? h->metres() : std::nan("");
}

} // namespace

TEST(Stations, secondary_port_of_a_table_worked_by_hand) {
    const Ports ports;
    const plan::Plan plan = ports.plan(standard + secondary);
    const auto tides = read_tides(plan, from, to);
    ASSERT_EQ(tides.size(), 2U);
    EXPECT_NEAR(height(tides[0], "2026-06-01T12:30Z"), 4.6, 1e-12);
    // 4.6 + 1.1 + 0.4 × 0.3/0.8 = 5.85 m at 13:00; 0.4 × 0.5 = 0.2 m at 07:00; half way between, 10:00, the
    // mean.
    EXPECT_NEAR(height(tides[1], "2026-06-01T13:00Z"), 5.85, 1e-9);
    EXPECT_NEAR(height(tides[1], "2026-06-01T07:00Z"), 0.2, 1e-9);
    EXPECT_NEAR(height(tides[1], "2026-06-01T10:00Z"), 0.5 * (5.85 + 0.2), 1e-9);
    EXPECT_TRUE(tides[1].station.secondary);
    EXPECT_EQ(tides[1].words, "Rook Quay: secondary port of Gannet Sound by the differences of rook.csv "
                              "above 23 (lowest astronomical tide), half-cosine between");
    // The standard port has no position: it counts nowhere itself.
    const auto stations = stations_of(plan, tides);
    ASSERT_EQ(stations.size(), 1U);
    EXPECT_EQ(stations[0].name, "Rook Quay");
    const auto tide = tide_at(plan, {}, from, to);
    EXPECT_NEAR(tide.station.prediction.curve.height(utc("2026-06-01T13:00Z"))->metres(), 5.85, 1e-9);
    // A secondary port's clock is believed less, its height as much.
    EXPECT_EQ(tide.doubts.tide_time_s, 25.0 * 60.0);
    EXPECT_EQ(tide.doubts.tide_height_m, plan.doubts.tide_height_m);
    // A route that reaches over 10 NM from it makes both wider.
    PlannedRoute far;
    far.route.places = {*stations[0].position,
                        {stations[0].position->lon_deg, stations[0].position->lat_deg + 0.2}};
    const auto there = tide_at(plan, {far}, from, to);
    EXPECT_EQ(there.doubts.tide_time_s, 30.0 * 60.0);
    EXPECT_EQ(there.doubts.tide_height_m, 0.5);
}

TEST(Stations, weather_comes_after_the_differences_and_once) {
    const Ports ports;
    const std::string water = "water = { pressure_hpa = 1033, mean_pressure_hpa = 1013, surge_m = 0.05 }\n";
    const auto tides = read_tides(ports.plan(water + standard + secondary), from, to);
    EXPECT_NEAR(height(tides[0], "2026-06-01T12:30Z"), 4.6 - 0.15, 1e-9);
    EXPECT_NEAR(height(tides[1], "2026-06-01T13:00Z"), 5.85 - 0.15, 1e-9);
    EXPECT_NEAR(height(tides[1], "2026-06-01T07:00Z"), 0.2 - 0.15, 1e-9); // the ratio is not applied to it
    EXPECT_NE(tides[1].words.find("pressure 1033 hPa, 20 above the mean of 1013: -0.20 m; surge +0.05 m"),
              std::string::npos);
    const auto held =
        read_tides(ports.plan(water + standard + "weather = \"included\"\n" + secondary), from, to);
    EXPECT_NEAR(height(held[0], "2026-06-01T12:30Z"), 4.6, 1e-12);
    EXPECT_EQ(held[0].words.find("pressure"), std::string::npos);
    ASSERT_EQ(held[0].notes.size(), 1U);
    EXPECT_NE(held[0].notes[0].find("not added"), std::string::npos);
    // Made from heights that hold it, the secondary port's hold it too.
    EXPECT_NEAR(height(held[1], "2026-06-01T13:00Z"), 5.85, 1e-9);
}

TEST(Stations, the_datum_of_a_file_counts_and_must_be_the_plans) {
    const Ports ports("time,kind,height_m,datum", ",12");
    const std::string place = "position = [-27.9, 46.1]\n";
    EXPECT_EQ(read_tides(ports.plan(standard + place), from, to)[0].station.datums.source_code, 12);
    EXPECT_EQ(
        read_tides(ports.plan(standard + place + "datum = 12\n"), from, to)[0].station.datums.source_code,
        12);
    try {
        read_tides(ports.plan(standard + place + "datum = 23\n"), from, to);
        ADD_FAILURE() << "nothing was said";
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::plan);
        for (const char* words :
             {"line 4, tide.datum", "23 (lowest astronomical tide)", "12 (mean lower low water)"})
            EXPECT_NE(std::string(failure.what()).find(words), std::string::npos) << failure.what();
    }
}

TEST(Stations, outside_the_table_it_is_unknown_at_the_secondary_port_too) {
    const Ports ports;
    const auto tides = read_tides(ports.plan(standard + secondary), from, to);
    for (const auto& tide : tides) {
        EXPECT_FALSE(tide.station.prediction.curve.height(utc("2026-06-02T02:00Z")));
        EXPECT_FALSE(tide.station.prediction.curve.height(utc("2026-05-31T17:00Z")));
        EXPECT_TRUE(tide.station.prediction.curve.height(utc("2026-06-01T23:00Z")));
    }
}

TEST(Stations, several_stations_are_not_one_tide) {
    const Ports ports;
    const plan::Plan plan = ports.plan(standard + "position = [-27.8, 46.1]\n" + secondary);
    EXPECT_EQ(stations_of(plan, read_tides(plan, from, to)).size(), 2U);
    EXPECT_THROW(tide_at(plan, {}, from, to), Failure);
}

TEST(Stations, a_zone_may_stand_in_a_file) {
    const Ports ports;
    ports.folder.file("river.geojson",
                      R"({"type":"Polygon","coordinates":[[[-28,46],[-27,46],[-27,47],[-28,46]]]})");
    const std::string place = "position = [-27.9, 46.1]\n";
    const auto tides = read_tides(ports.plan(standard + place + "zone = \"river.geojson\"\n"), from, to);
    const std::vector<geo::Position> ring{{-28, 46}, {-27, 46}, {-27, 47}};
    EXPECT_EQ(tides.front().station.zone, ring);
    const auto listed =
        read_tides(ports.plan(standard + place + "zone = [[-28, 46], [-27, 46], [-27, 47]]\n"), from, to);
    EXPECT_EQ(listed.front().station.zone, ring);
    EXPECT_THROW(read_tides(ports.plan(standard + place + "zone = \"none.geojson\"\n"), from, to), Failure);
}

TEST(Stations, curve_and_gaps) {
    const Ports ports;
    ports.folder.file("model.csv",
                      "time,height_m\n2026-06-01 01:00,1\n2026-06-01 01:30,1.5\n2026-06-01 04:00,2\n"
                      "2026-06-01 04:30,2.2\n");
    const std::string curve = "[[tide]]\nkind = \"curve\"\ncurve = \"model.csv\"\ntimes = \"Etc/GMT-1\"\n"
                              "position = [0, 0]\n";
    const auto tides = read_tides(ports.plan(curve), from, to);
    EXPECT_NEAR(height(tides[0], "2026-06-01T00:30Z"), 1.5,
                1e-12); // GMT-1 of the database is an hour ahead of UTC
    EXPECT_TRUE(std::isnan(height(tides[0], "2026-06-01T02:00Z")));
    ASSERT_EQ(tides[0].notes.size(), 1U);
    EXPECT_FALSE(
        std::isnan(height(read_tides(ports.plan(curve + "gap_h = 3\n"), from, to)[0], "2026-06-01T02:00Z")));
}

TEST(Stations, what_the_tides_of_the_demo_amount_to) {
    const plan::Plan plan = plan::read(support::testdata() / "demo/plan.toml");
    const TideReport report = run_tide(plan, "2026-06-16 00:00", "2026-06-17 00:00", 3600.0);
    ASSERT_EQ(report.tides.size(), 3U);
    for (const auto& table : report.tides) {
        EXPECT_EQ(table.heights.size(), 25U);
        EXPECT_GE(table.extremes.size(), 3U);
        EXPECT_TRUE(
            std::all_of(table.heights.begin(), table.heights.end(), [](const auto& r) { return r.metres; }));
        ASSERT_EQ(table.warnings.size(), 1U) << table.source;
        EXPECT_NE(table.warnings[0].find("before pressure and surge"), std::string::npos);
    }
    EXPECT_NE(report.tides[0].warnings[0].find("mean 3.20 m"), std::string::npos);
    EXPECT_NE(report.tides[1].warnings[0].find("tide of 2026 above its own datum"), std::string::npos);
    EXPECT_NE(report.tides[2].warnings[0].find("tide from 2026-06-14T"), std::string::npos);
    EXPECT_EQ(report.tides[2].place, "46.0500 N 27.8700 W, with a zone of its own");
    // Outside its week the table knows nothing; the others go on.
    const TideReport later = run_tide(plan, "2026-06-23 00:00", "2026-06-23 01:00", 3600.0);
    EXPECT_FALSE(later.tides[2].heights[0].metres);
    EXPECT_TRUE(later.tides[1].heights[0].metres);
}

// A mean level forgotten, a constituent missing at the standard port: the secondary port says so too.
TEST(Stations, a_secondary_port_inherits_what_is_wrong_with_its_standard_port) {
    plan::Plan plan = plan::read(support::testdata() / "demo/plan.toml");
    plan.tides[0].mean_level_m = 0.0;
    const auto warnings = run_tide(plan, "2026-06-16 00:00", "2026-06-17 00:00", 3600.0).tides.at(1).warnings;
    ASSERT_EQ(warnings.size(), 2U);
    EXPECT_NE(warnings[1].find("less than -1.5 m"), std::string::npos);
    const support::TemporaryFolder folder;
    plan.tides[0].constants = folder.file("few.csv", "constituent,amplitude_m,phase_deg_gmt\nM2,1.8,128\n");
    const auto tides = read_tides(plan, from, to);
    EXPECT_EQ(tides.at(1).distrust, "few.csv lacks S2, K1, O1");
    EXPECT_EQ(tides.at(2).distrust, "");
}

TEST(Stations, along_the_routes_of_the_demo) {
    const plan::Plan plan = plan::read(support::testdata() / "demo/plan.toml");
    Diagnostics diagnostics;
    auto cells = read_charts(plan, {}, diagnostics);
    const geo::Plane plane({-27.91, 46.07});
    for (auto& cell : cells)
        chart::lay_out(cell, plane, diagnostics);
    const auto hazards = hazard::build(cells, diagnostics);
    const auto land = land_of(hazards);
    EXPECT_FALSE(land.empty());
    const Instant begin = utc("2026-06-16T04:00Z"), end = utc("2026-06-16T16:00Z");
    const auto stations = stations_of(plan, read_tides(plan, begin, end));
    ASSERT_EQ(stations.size(), 3U);
    const tide::StationMap map(plane, stations, land);
    // From the slip into the zone of the headland.
    const std::vector<geo::Point> line{plane.to_plane({-27.930290, 46.078}),
                                       plane.to_plane({-27.886914, 46.055960}),
                                       plane.to_plane({-27.8700, 46.0500})};
    const auto reaches = map.along(line);
    ASSERT_GE(reaches.size(), 2U);
    EXPECT_EQ(reaches.front().choice.stations.front(), 0U);
    EXPECT_EQ(reaches.back().choice.how, tide::Chosen::zone);
    EXPECT_EQ(reaches.back().choice.stations, (std::vector<std::size_t>{2}));
    for (const auto& reach : reaches) {
        EXPECT_TRUE(tide::lowest_there(stations, reach.choice, 23, begin, end));
        EXPECT_TRUE(tide::unknown_there(stations, reach.choice, begin, end).empty());
    }
    for (const auto& step : tide::steps_along(stations, reaches, 23, begin, end))
        EXPECT_GT(std::abs(step.step_m), tide::reported_step_m);
}

TEST(Stations, stretches_of_a_route_in_its_own_coordinates) {
    const geo::Plane plane({-27.9, 46.06});
    std::vector<tide::Station> stations(2);
    stations[0].name = "West";
    stations[0].position = geo::Position{-27.95, 46.06};
    stations[1].name = "East";
    stations[1].position = geo::Position{-27.85, 46.06};
    const tide::StationMap map(plane, stations, {});
    // There and back again, over the middle twice.
    passage::Route route;
    route.places = {{-27.95, 46.06}, {-27.85, 46.06}, {-27.95, 46.06}};
    route.half_widths_m = {50.0, 50.0};
    route.speeds_mps = {5.0, 5.0};
    const passage::Track track(route, plane);
    const auto reaches = reaches_along(map, track);
    ASSERT_EQ(reaches.size(), 7U); // west, both, both, east, and the same back
    EXPECT_EQ(reaches.front().from_m, 0.0);
    EXPECT_EQ(reaches.back().to_m, track.length());
    for (std::size_t i = 1; i < reaches.size(); ++i)
        EXPECT_EQ(reaches[i].from_m, reaches[i - 1].to_m);
    const double half = track.length() / 2.0;
    EXPECT_NEAR(reaches[0].to_m, half / 2.1, 2.0);
    EXPECT_NEAR(reaches[1].to_m, half / 2.0, 2.0);
    EXPECT_NEAR(reaches[3].from_m + reaches[3].to_m, 2.0 * half, 4.0);
    for (const auto& reach : reaches)
        EXPECT_TRUE(map.at(track.point_at(0.5 * (reach.from_m + reach.to_m))).same_as(reach.choice));
}
