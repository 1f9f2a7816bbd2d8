#include "dangerline/tide/stations.hpp"

#include <cmath>

#include <gtest/gtest.h>

#include "dangerline/base/error.hpp"
#include "tide/stations.hpp"

using namespace dangerline;
using namespace dangerline::tide;
using stations::utc;

namespace {

const geo::Plane plane({-40.0, 45.0});
constexpr int lat_datum = 23, mllw = 12;

std::shared_ptr<const geo::Shape> area(const std::vector<geo::Point>& ring) {
    return std::make_shared<const geo::Shape>(geo::Shape::of_area({ring}));
}

std::shared_ptr<const geo::Shape> square(double x0, double y0, double x1, double y1) {
    return area({{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}});
}

std::vector<geo::Position> zone(double x0, double y0, double x1, double y1) {
    std::vector<geo::Position> ring;
    for (const geo::Point p : {geo::Point{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}})
        ring.push_back(plane.to_position(p));
    return ring;
}

Station station(const std::string& name, double x, double y, double height_m = 2.0, bool secondary = false) {
    Station s{.name = name, .position = plane.to_position({x, y}), .secondary = secondary};
    s.prediction.curve = Curve::fixed(TideHeight::from_metres(height_m), "chosen");
    s.datums.source_code = lat_datum;
    return s;
}

/// Steady fall from 3 to 1 m (or rise) in two hours from noon.
Station moving(const std::string& name, double x, double from_m, double to_m) {
    Station s = station(name, x, 0.0);
    const double rate = (to_m - from_m) / 7200.0;
    s.prediction.curve =
        Curve::from_pieces({{utc("2026-06-01T12:00Z"), 7200.0, {from_m, to_m}, {rate, rate}}}, name);
    return s;
}

std::vector<std::size_t> at(const StationMap& map, double x, double y) {
    return map.at(geo::Point{x, y}).stations;
}
using Indices = std::vector<std::size_t>;

} // namespace

TEST(StationDoubt, standard_secondary_and_far_away) {
    EXPECT_EQ(station_doubt(false, 0.0), (StationDoubt{0.3, 900.0}));
    EXPECT_EQ(station_doubt(false, {}), (StationDoubt{0.3, 900.0}));
    EXPECT_EQ(station_doubt(true, 1000.0), (StationDoubt{0.3, 1500.0}));
    EXPECT_EQ(station_doubt(false, 18520.0), (StationDoubt{0.3, 900.0}));
    EXPECT_EQ(station_doubt(false, 18521.0), (StationDoubt{0.5, 1800.0}));
    EXPECT_EQ(station_doubt(true, 18521.0), (StationDoubt{0.5, 1800.0}));
    // The skipper's own, larger figures are never made smaller.
    EXPECT_EQ(station_doubt(true, 20000.0, {0.8, 3600.0}), (StationDoubt{0.8, 3600.0}));
    EXPECT_EQ(station_doubt(true, 0.0, {0.1, 60.0}), (StationDoubt{0.1, 1500.0}));
}

TEST(StationMap, a_single_station_counts_everywhere) {
    const StationMap map(plane, {station("A", 0, 0)}, {square(100, -1000, 5000, 1000)});
    EXPECT_EQ(at(map, 9000, 0), (Indices{0}));
    EXPECT_EQ(map.at(geo::Point{9000, 0}).how, Chosen::only);
    EXPECT_EQ(map.at(geo::Point{9000, 0}).doubt, (StationDoubt{0.3, 900.0}));
    EXPECT_NEAR(map.at(geo::Point{9000, 0}).distance_m.value(), 9000.0, 0.01);
    EXPECT_EQ(map.at(geo::Point{19000, 0}).doubt, (StationDoubt{0.5, 1800.0}));
    Station nowhere = station("B", 0, 0);
    nowhere.position.reset();
    const Choice c = StationMap(plane, {nowhere}, {}).at(geo::Point{50000, 0});
    EXPECT_FALSE(c.distance_m);
    EXPECT_EQ(c.doubt, (StationDoubt{0.3, 900.0}));
}

TEST(StationMap, nearest_by_water_not_as_the_crow_flies) {
    // B lies behind a headland that reaches far north and south.
    const std::vector<Station> two{station("A", 0, 0), station("B", 10000, 0)};
    const StationMap open(plane, two, {});
    EXPECT_EQ(at(open, 7000, 0), (Indices{1}));
    const StationMap map(plane, two, {square(8000, -20000, 8800, 20000)});
    EXPECT_EQ(at(map, 7000, 0), (Indices{0}));
    EXPECT_EQ(map.at(geo::Point{7000, 0}).how, Chosen::by_water);
    EXPECT_EQ(at(map, 9300, 0), (Indices{1}));
    EXPECT_EQ(at(map, 2000, 0), (Indices{0}));
    // By longitude and latitude too.
    EXPECT_EQ(map.at(plane.to_position({7000, 0})).stations, (Indices{0}));
}

TEST(StationMap, a_gauge_on_a_quay_and_a_landing_on_a_beach_are_joined) {
    const std::vector<Station> two{station("A", 0, 0), station("B", 10000, 0)};
    // Both ends lie ashore, 300 m and 400 m from the water.
    const StationMap map(plane, two, {square(-900, -5000, 300, 5000), square(3000, -5000, 5000, 5000)});
    EXPECT_EQ(at(map, 3400, 0), (Indices{0}));
    // 600 m inland on either side is land in between.
    const StationMap inland(plane, two, {square(-900, -5000, 600, 5000)});
    EXPECT_EQ(at(inland, 3400, 0), (Indices{1}));
    // An islet parts no tides.
    EXPECT_EQ(at(StationMap(plane, two, {square(1000, -249, 1490, 249)}), 3400, 0), (Indices{0}));
    EXPECT_EQ(at(StationMap(plane, two, {square(1000, -251, 1490, 251)}), 3400, 0), (Indices{1}));
    // A coast that is only touched is none.
    const StationMap touching(plane, two, {area({{1500, 0}, {2000, 500}, {1000, 500}})});
    EXPECT_EQ(at(touching, 3400, 0), (Indices{0}));
}

TEST(StationMap, no_station_by_water_all_count_and_nothing_is_sure) {
    const StationMap map(plane, {station("A", 0, 0), station("B", 10000, 0)},
                         {square(3000, -50000, 3500, 50000), square(6000, -50000, 6500, 50000)});
    const Choice c = map.at(geo::Point{4400, 0});
    EXPECT_EQ(c.how, Chosen::across_land);
    EXPECT_EQ(c.stations, (Indices{0, 1}));
    EXPECT_EQ(c.doubt, (StationDoubt{0.5, 1800.0}));
}

TEST(StationMap, nearly_as_near_counts_too) {
    const StationMap map(plane, {station("A", 0, 0), station("B", 10000, 0, 2.0, true)}, {});
    EXPECT_EQ(at(map, 4700, 0), (Indices{0}));    // 5300 is more than 1.1 × 4700
    EXPECT_EQ(at(map, 4800, 0), (Indices{0, 1})); // 5200 is not more than 1.1 × 4800
    EXPECT_EQ(at(map, 5200, 0), (Indices{1, 0}));
    EXPECT_EQ(at(map, 5300, 0), (Indices{1}));
    EXPECT_EQ(map.at(geo::Point{4700, 0}).doubt.time_s, 900.0);
    EXPECT_EQ(map.at(geo::Point{4800, 0}).doubt.time_s, 1500.0); // the worse of the two
}

TEST(StationMap, zones_come_before_nearness) {
    Station a = station("A", 0, 0), b = station("B", 10000, 0);
    b.zone = zone(1000, -1000, 20000, 1000);
    const StationMap map(plane, {a, b}, {});
    EXPECT_EQ(at(map, 1500, 0), (Indices{1}));
    EXPECT_EQ(map.at(geo::Point{1500, 0}).how, Chosen::zone);
    EXPECT_EQ(at(map, 1500, 1500), (Indices{0}));
    EXPECT_EQ(map.at(geo::Point{1500, 1500}).how, Chosen::by_water);
    // Overlapping zones: both.
    a.zone = zone(-5000, -1000, 2000, 1000);
    EXPECT_EQ(at(StationMap(plane, {a, b}, {}), 1500, 0), (Indices{0, 1}));
    // A zone is enough to be a station, but its distance is not known.
    b.position.reset();
    const Choice c = StationMap(plane, {a, b}, {}).at(geo::Point{15000, 0});
    EXPECT_EQ(c.stations, (Indices{1}));
    EXPECT_FALSE(c.distance_m);
}

TEST(StationMap, refuses_stations_it_cannot_place) {
    const auto refusal = [](const std::vector<Station>& stations) -> std::string {
        try {
            const StationMap map(plane, stations, {});
        } catch (const Failure& failure) {
            EXPECT_EQ(failure.fault(), Fault::plan);
            return failure.what();
        }
        return "nothing thrown";
    };
    Station a = station("A", 0, 0), b = station("B", 0, 0);
    b.position.reset();
    EXPECT_NE(refusal({a, b}).find("\"B\": neither position nor zone"), std::string::npos);
    a.zone = {{0, 0}, {1, 1}};
    EXPECT_NE(refusal({a}).find("a zone of 2 corners"), std::string::npos);
    EXPECT_NE(refusal({}).find("no tide station"), std::string::npos);
}

TEST(StationMap, a_line_is_cut_where_the_choice_changes) {
    const StationMap map(plane, {station("A", 0, 0), station("B", 10000, 0)}, {});
    const auto reaches = map.along({{0, 0}, {4000, 0}, {4000, 0}, {10000, 0}});
    ASSERT_EQ(reaches.size(), 4U);
    EXPECT_EQ(reaches[0].from_m, 0.0);
    EXPECT_NEAR(reaches[0].to_m, 10000.0 / 2.1, 1.0); // x = (10000 - x)/1.1
    EXPECT_NEAR(reaches[1].to_m, 5000.0, 1.0);
    EXPECT_NEAR(reaches[2].to_m, 10000.0 * 1.1 / 2.1, 1.0);
    EXPECT_EQ(reaches[3].to_m, 10000.0);
    EXPECT_EQ(reaches[1].choice.stations, (Indices{0, 1}));
    for (std::size_t i = 1; i < reaches.size(); ++i)
        EXPECT_EQ(reaches[i].from_m, reaches[i - 1].to_m);
    EXPECT_TRUE(map.along({{0, 0}}).empty());
    // Beyond 10 NM the doubt changes, the station does not.
    const auto far = StationMap(plane, {station("A", 0, 0)}, {}).along({{0, 0}, {30000, 0}});
    ASSERT_EQ(far.size(), 2U);
    EXPECT_NEAR(far[1].from_m, 18520.0, 1.0);
    EXPECT_EQ(far[1].choice.doubt, (StationDoubt{0.5, 1800.0}));
}

TEST(StationMap, cutting_agrees_with_asking_everywhere) {
    Station c = station("C", 5000, 9000);
    c.zone = zone(2000, 2000, 4000, 9000);
    const StationMap map(plane, {station("A", 0, 0), station("B", 10000, 0, 2, true), c},
                         {square(4500, -4000, 5200, 1500)});
    const std::vector<geo::Point> line{{-1000, -500}, {3000, 5000}, {9000, 2000}, {6000, -3000}};
    const auto reaches = map.along(line);
    EXPECT_GT(reaches.size(), 4U);
    double start = 0.0;
    std::size_t asked = 0;
    for (std::size_t i = 1; i < line.size(); ++i) {
        const double length = std::hypot(line[i].x - line[i - 1].x, line[i].y - line[i - 1].y);
        for (double m = 3.0; m < length; m += 37.0) {
            const geo::Point p{line[i - 1].x + m / length * (line[i].x - line[i - 1].x),
                               line[i - 1].y + m / length * (line[i].y - line[i - 1].y)};
            for (const auto& reach : reaches)
                if (start + m > reach.from_m + 1.0 && start + m < reach.to_m - 1.0) {
                    EXPECT_TRUE(map.at(p).same_as(reach.choice)) << start + m;
                    ++asked;
                }
        }
        start += length;
    }
    EXPECT_GT(asked, 400U);
}

TEST(TideThere, the_lower_of_two_counts_whichever_it_is) {
    // A falls from 3 to 1, B rises from 1 to 3: equal in the middle.
    const std::vector<Station> two{moving("A", 0, 3.0, 1.0), moving("B", 10000, 1.0, 3.0)};
    const Choice both{.stations = {0, 1}};
    const Instant noon = utc("2026-06-01T12:00Z");
    const auto early = lowest_there(two, both, lat_datum, noon + 600.0, noon + 1200.0);
    ASSERT_TRUE(early);
    EXPECT_EQ(early->station, 1U);
    EXPECT_NEAR(early->height.metres(), 1.0 + 2.0 / 12.0, 1e-9);
    EXPECT_EQ(early->at, noon + 600.0);
    EXPECT_NEAR(early->rate_mps, 2.0 / 7200.0, 1e-12);
    const auto late = lowest_there(two, both, lat_datum, noon + 6000.0, noon + 6600.0);
    EXPECT_EQ(late->station, 0U);
    const auto high = highest_there(two, both, lat_datum, noon + 6000.0, noon + 6600.0);
    EXPECT_EQ(high->station, 1U);
    EXPECT_NEAR(high->height.metres(), 3.0 - 2.0 / 12.0, 1e-9);
}

TEST(TideThere, each_station_through_its_own_datum) {
    std::vector<Station> two{station("A", 0, 0, 2.0), station("B", 10000, 0, 2.1)};
    two[1].datums = {.source_code = mllw, .metres_below_source = {{lat_datum, -0.4}}};
    const Instant t = utc("2026-06-01T12:00Z");
    const auto met = lowest_there(two, {.stations = {0, 1}}, lat_datum, t, t);
    ASSERT_TRUE(met);
    EXPECT_EQ(met->station, 1U);
    EXPECT_NEAR(met->height.metres(), 1.7, 1e-12);
    two[1].datums.metres_below_source.clear();
    EXPECT_FALSE(lowest_there(two, {.stations = {0, 1}}, lat_datum, t, t)); // not linked is not known
    EXPECT_TRUE(lowest_there(two, {.stations = {0}}, lat_datum, t, t));
}

TEST(TideThere, unknown_at_one_station_is_unknown) {
    const std::vector<Station> two{moving("A", 0, 3.0, 1.0), station("B", 10000, 0, 0.5)};
    const Instant noon = utc("2026-06-01T12:00Z");
    const Choice both{.stations = {1, 0}};
    EXPECT_FALSE(lowest_there(two, both, lat_datum, noon, noon + 7201.0));
    EXPECT_TRUE(lowest_there(two, {.stations = {1}}, lat_datum, noon, noon + 7201.0));
    EXPECT_EQ(unknown_there(two, both, noon - 60.0, noon + 7260.0),
              (std::vector<TimeSpan>{{noon - 60.0, noon}, {noon + 7200.0, noon + 7260.0}}));
    EXPECT_TRUE(unknown_there(two, {.stations = {1}}, noon - 60.0, noon + 7260.0).empty());
}

TEST(TideThere, a_doubtful_shape_is_passed_on) {
    std::vector<Station> two{station("A", 0, 0, 2.0), station("B", 10000, 0, 3.0)};
    const Instant t = utc("2026-06-01T12:00Z");
    two[1].prediction.doubtful_shape = {{t - 60.0, t + 60.0}};
    EXPECT_TRUE(lowest_there(two, {.stations = {0, 1}}, lat_datum, t, t)->doubtful_shape);
    EXPECT_FALSE(lowest_there(two, {.stations = {0, 1}}, lat_datum, t + 61.0, t + 61.0)->doubtful_shape);
    EXPECT_FALSE(lowest_there(two, {.stations = {0}}, lat_datum, t, t)->doubtful_shape);
}

TEST(TideThere, steps_over_a_third_of_a_metre_are_reported) {
    const Instant noon = utc("2026-06-01T12:00Z");
    const auto steps = [&](double b_m) {
        Station a = station("A", 0, 0, 2.0), b = station("B", 10000, 0, b_m);
        a.zone = zone(-1000, -1000, 5000, 1000);
        b.zone = zone(5000, -1000, 11000, 1000);
        const std::vector<Station> two{a, b};
        const auto reaches = StationMap(plane, two, {}).along({{0, 0}, {10000, 0}});
        return steps_along(two, reaches, lat_datum, noon, noon + 3600.0);
    };
    EXPECT_TRUE(steps(2.29).empty());
    EXPECT_TRUE(steps(1.71).empty());
    ASSERT_EQ(steps(2.31).size(), 1U);
    EXPECT_NEAR(steps(2.31)[0].step_m, 0.31, 1e-9);
    EXPECT_NEAR(steps(1.6)[0].step_m, -0.4, 1e-9);
    EXPECT_NEAR(steps(1.6)[0].at_m, 5000.0, 1.0);
    EXPECT_EQ(steps(1.6)[0].before, (Indices{0}));
    EXPECT_EQ(steps(1.6)[0].after, (Indices{1}));
}
