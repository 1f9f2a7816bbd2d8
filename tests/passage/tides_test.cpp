// Several tide stations along one route, with the boundary at its middle.
#include <gtest/gtest.h>

#include <cmath>

#include "dangerline/base/error.hpp"
#include "dangerline/passage/check.hpp"
#include "passage/made_hazards.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::passage;
using hazard::Cause;
using hazard::Grade;

namespace {

using made_hazards::plane;
using made_hazards::world;

const Instant start = Instant::from_unix_seconds(1.78e9);
constexpr double speed_mps = 2.0;

const Track& track() {
    static const Track t = [] {
        Route r;
        r.name = "test";
        r.places = {plane().to_position({-3000.0, 0.0}), plane().to_position({3000.0, 0.0})};
        r.half_widths_m = {50.0};
        r.speeds_mps = {speed_mps};
        r.shore_start_m = r.shore_end_m = 0.0;
        return Track(r, plane());
    }();
    return t;
}
double middle() {
    return track().length() / 2.0;
}

/// No doubt of place or depth of its own.
hazard::Hazard rock(double depth_m, double x) {
    hazard::Hazard h;
    h.object = {"ROCK", "UWTROC", "", "TEST"};
    h.what = "rock";
    h.datum = 23;
    hazard::Step s;
    s.depth = Depth::from_metres(depth_m);
    s.extent = std::make_shared<const geo::Shape>(geo::Shape::of_points({{x, 0.0}}));
    h.steps.push_back(s);
    h.box = s.extent->box();
    return h;
}

hazard::Hazard cable(double clearance_m, double x) {
    hazard::Hazard h = rock(0.0, x);
    h.kind = hazard::Kind::overhead;
    h.object.cls = "CBLOHD";
    h.steps[0].in_force = hazard::InForce::above;
    h.steps[0].clearance_m = clearance_m;
    return h;
}

tide::Curve fixed(double metres) {
    return tide::Curve::fixed(TideHeight::from_metres(metres), "");
}

/// `metres` when the boat is half way, a metre an hour less or more before and after.
tide::Curve falling(double metres) {
    const double fall = -1.0 / 3600.0;
    tide::Piece piece{start - 7200.0, 14400.0, {}, {}};
    const Instant there = Timetable(track(), start).at(middle());
    for (const double t : {0.0, 14400.0}) {
        piece.height_m.push_back(metres + fall * ((piece.start + t) - there));
        piece.rate_mps.push_back(fall);
    }
    return tide::Curve::from_pieces({piece}, "falling");
}

tide::StationReach reach(double from_m, double to_m, std::vector<std::size_t> stations,
                         tide::StationDoubt doubt = {0.3, 0.0}) {
    tide::StationReach r{from_m, to_m, {}};
    r.choice.stations = std::move(stations);
    r.choice.how = tide::Chosen::zone;
    r.choice.doubt = doubt;
    return r;
}

/// West counts up to the middle, East from there; 1.4 m required, no clock margin.
Conditions two(const tide::Curve& west, const tide::Curve& east) {
    Tides tides;
    for (const auto& [name, curve] : {std::pair{"West", west}, std::pair{"East", east}}) {
        auto& station = tides.stations.emplace_back();
        station.name = name;
        station.prediction.curve = curve;
        station.datums = {23, {}};
    }
    tides.reaches = {reach(0.0, middle(), {0}), reach(middle(), track().length(), {1})};
    return {{}, Water::from_metres(1.4), {0.3, 0.0, 0.0}, tides, {}};
}

Check run(const Conditions& c, std::vector<hazard::Hazard> all, Instant departure = start) {
    return check(track(), Timetable(track(), departure), world(std::move(all)), c);
}

Grade grade_at(const Check& c, double s) {
    for (const auto& stretch : c.stretches)
        if (s >= stretch.span.from && s <= stretch.span.to)
            return stretch.marks.empty() ? Grade::none_found : stretch.marks.front().grade;
    ADD_FAILURE() << "no stretch at " << s;
    return Grade::none_found;
}

std::size_t count(const Check& c, const std::string& what) {
    std::size_t n = 0;
    for (const auto& f : c.findings)
        n += f.what == what;
    return n;
}

} // namespace

// A rock at datum needs 1.4 m: West gives 1.0, East 3.0. The corridor of 50 m reaches back over the boundary.
TEST(Tides, the_station_of_the_place_counts_and_near_the_boundary_the_lower) {
    const auto worst = [](double west_m, double east_m, double x) {
        return run(two(fixed(west_m), fixed(east_m)), {rock(0.0, x)}).worst;
    };
    EXPECT_EQ(worst(1.0, 3.0, -500.0), Grade::danger);
    EXPECT_EQ(worst(1.0, 3.0, -20.0), Grade::danger);
    EXPECT_EQ(worst(1.0, 3.0, 20.0), Grade::danger);
    EXPECT_EQ(worst(1.0, 3.0, 100.0), Grade::none_found);
    EXPECT_EQ(worst(3.0, 1.0, -100.0), Grade::none_found);
    EXPECT_EQ(worst(3.0, 1.0, -20.0), Grade::danger);
    const Check c = run(two(fixed(1.0), fixed(3.0)), {rock(0.0, 20.0)});
    EXPECT_NEAR(*c.findings.front().tide_m, 1.0, 1e-12);
}

TEST(Tides, of_several_stations_of_one_stretch_the_lower_counts) {
    auto c = two(fixed(3.0), fixed(1.0));
    c.tides.reaches = {reach(0.0, track().length(), {0, 1})};
    EXPECT_EQ(run(c, {rock(0.0, -2000.0)}).worst, Grade::danger);
    c.tides.reaches = {reach(0.0, track().length(), {0})};
    EXPECT_EQ(run(c, {rock(0.0, -2000.0)}).worst, Grade::none_found);
}

// The other way round under a cable: 5.0 m of clearance, 2.0 m of boat and 0.5 m of margin bear 2.5 m of
// tide.
TEST(Tides, under_a_cable_the_higher_counts_near_the_boundary) {
    const auto worst = [](double x) {
        auto c = two(fixed(1.0), fixed(3.0));
        c.boat.air_draught_m = 2.0;
        c.boat.overhead_margin_m = 0.5;
        return run(c, {cable(5.0, x)}).worst;
    };
    EXPECT_EQ(worst(-500.0), Grade::none_found);
    EXPECT_EQ(worst(-20.0), Grade::danger);
    EXPECT_EQ(worst(500.0), Grade::danger);
}

// Falling 1 m an hour: 15 min are 0.25 m, 25 min (a secondary port) 0.417 m; with 0.3 m of height
// sqrt(0.09 + 0.0625) = 0.391 and sqrt(0.09 + 0.1736) = 0.513.
TEST(Tides, doubt_is_that_of_the_station_of_the_place) {
    auto c = two(falling(1.0), falling(1.0));
    c.tides.reaches[0].choice.doubt = {0.3, 15.0 * 60.0};
    c.tides.reaches[1].choice.doubt = {0.3, 25.0 * 60.0};
    const auto doubt = [&](double x) { return *run(c, {rock(-2.0, x)}).findings.front().spare_doubt_m; };
    EXPECT_NEAR(doubt(-500.0), 0.391, 1e-3);
    EXPECT_NEAR(doubt(500.0), 0.513, 1e-3);
    c.tides.stations[1].datums = {7, {{23, 0.0}}}; // mean low water springs, approximate
    EXPECT_NEAR(doubt(-500.0), 0.391, 1e-3);
    EXPECT_NEAR(doubt(500.0), 0.513 + tide::approximate_datum_doubt_m, 1e-3);
    c.doubts.tide_height_m = 0.6; // the plan's own is the least
    EXPECT_NEAR(doubt(-500.0), std::hypot(0.6, 0.25), 1e-3);
}

// West 2.2 ± 0.3 leaves 1.9 m, East 2.3 ± 0.6 only 1.7 m where 1.8 m are required: the higher one decides.
TEST(Tides, a_higher_tide_of_more_doubt_may_be_the_worse) {
    auto c = two(fixed(2.2), fixed(2.3));
    c.required = Water::from_metres(1.8);
    c.tides.reaches[1].choice.doubt.height_m = 0.6;
    const Check near = run(c, {rock(0.0, 0.0)});
    ASSERT_FALSE(near.findings.empty());
    EXPECT_EQ(near.findings.front().cause, Cause::margin);
    EXPECT_NEAR(*near.findings.front().tide_m, 2.3, 1e-12);
    EXPECT_EQ(run(c, {rock(0.0, -500.0)}).worst, Grade::none_found);
}

TEST(Tides, what_one_station_does_not_know_is_unknown_there_only) {
    const auto ended = tide::Curve::from_pieces({{start - 7200.0, 600.0, {3.0, 3.0}, {0.0, 0.0}}}, "ended");
    for (const double margin_s : {0.0, 600.0}) {
        auto c = two(fixed(3.0), ended);
        c.doubts.time_margin_s = margin_s;
        const Check result = run(c, {rock(0.0, -500.0), rock(0.0, 500.0)});
        ASSERT_EQ(result.findings.size(), 1U);
        EXPECT_EQ(result.findings[0].grade, Grade::unknown);
        EXPECT_NEAR(result.findings[0].span.from, middle(), 1e-6);
        EXPECT_NEAR(result.findings[0].span.to, track().length(), 1e-6);
        EXPECT_EQ(grade_at(result, middle() - 1.0), Grade::none_found);
    }
    // Where both count, one that knows nothing is enough.
    auto both = two(fixed(3.0), ended);
    both.tides.reaches = {reach(0.0, track().length(), {0, 1})};
    EXPECT_EQ(grade_at(run(both, {}), 1.0), Grade::unknown);
}

TEST(Tides, where_no_station_reaches_the_tide_is_unknown) {
    auto c = two(fixed(3.0), fixed(3.0));
    c.tides.reaches.pop_back();
    const Check half = run(c, {rock(0.0, 500.0)});
    EXPECT_EQ(grade_at(half, middle() - 1.0), Grade::none_found);
    EXPECT_EQ(grade_at(half, middle() + 1.0), Grade::unknown);
    c.tides.reaches.clear();
    EXPECT_NEAR(run(c, {}).findings.at(0).length_m, track().length(), 1e-6);
}

TEST(Tides, only_stations_in_reach_of_a_hazard_must_be_linked_to_it) {
    auto c = two(fixed(3.0), fixed(3.0));
    c.tides.stations[1].datums = {3, {}};
    EXPECT_EQ(run(c, {rock(0.0, -500.0)}).worst, Grade::none_found);
    for (const double x : {500.0, -20.0})
        try {
            run(c, {rock(0.0, x)});
            ADD_FAILURE() << "taken at " << x;
        } catch (const Failure& failure) {
            EXPECT_EQ(failure.fault(), Fault::plan);
            EXPECT_EQ(failure.complaint().object, "tide \"East\"");
        }
}

TEST(Tides, a_step_between_stations_is_a_note_where_it_is) {
    const Check c = run(two(fixed(2.0), fixed(2.5)), {});
    ASSERT_EQ(count(c, "step of the tide"), 1U);
    EXPECT_EQ(c.findings[0].grade, Grade::note);
    EXPECT_NEAR(c.findings[0].nearest_at, middle(), 1e-6);
    for (const char* words : {"0.5 m higher", "West", "East"})
        EXPECT_NE(c.findings[0].reason.find(words), std::string::npos) << c.findings[0].reason;
    EXPECT_NE(run(two(fixed(2.5), fixed(2.0)), {}).findings.at(0).reason.find("0.5 m lower"),
              std::string::npos);
    EXPECT_EQ(c.worst, Grade::none_found);
    EXPECT_EQ(count(run(two(fixed(2.0), fixed(2.25)), {}), "step of the tide"), 0U);
}

TEST(Tides, a_doubtful_shape_is_one_caution_where_its_station_counts) {
    auto c = two(fixed(3.0), fixed(3.0));
    c.tides.stations[1].prediction.doubtful_shape = {{start - 3600.0, start + 7200.0}};
    const Check result = run(c, {});
    ASSERT_EQ(count(result, "doubtful shape of the tide"), 1U);
    EXPECT_EQ(result.findings[0].cause, Cause::margin);
    EXPECT_EQ(grade_at(result, middle() - 1.0), Grade::none_found);
    EXPECT_EQ(grade_at(result, middle() + 1.0), Grade::caution);
}

// 31 December 2026, 23:20: the boat is at the boundary at 23:45 and arrives in 2027. West is predicted
// through the jump of f and u; East's table ends with the year.
TEST(Tides, over_new_year) {
    const support::TemporaryFolder folder;
    const auto constants = tide::read_constants(
        folder.file("c.csv", "constituent,amplitude_m,phase_deg_gmt\nM2,1.8,128\nS2,0.6,160\nK1,0.1,90\n"
                             "O1,0.1,30\n"));
    const Instant midnight = start_of({2027, 1, 1});
    const auto west = tide::Curve::harmonic(constants, 3.0, midnight - 86400.0, midnight + 86400.0);
    const auto east = tide::Curve::from_pieces({{midnight - 86400.0, 86400.0, {3.0, 3.0}, {0.0, 0.0}}}, "");
    const Instant departure = midnight - 2400.0;
    const Timetable times(track(), departure);

    auto c = two(west, east);
    const double at_midnight = times.place_at(midnight);
    ASSERT_GT(at_midnight, middle());
    const Check ends = run(c, {}, departure);
    EXPECT_EQ(grade_at(ends, at_midnight - 1.0), Grade::none_found);
    EXPECT_EQ(grade_at(ends, at_midnight + 1.0), Grade::unknown);
    EXPECT_NEAR(ends.findings.at(0).span.from, at_midnight, 0.1);

    // The harmonic station alone goes on; the tide over a rock where the years meet is the lower of both
    // sides.
    c.tides.reaches = {reach(0.0, track().length(), {0})};
    const double x = at_midnight - middle();
    const Check on = run(c, {rock(-9.0, x)}, departure);
    EXPECT_NEAR(ends.findings.at(0).span.to, track().length(), 1e-6);
    ASSERT_EQ(on.findings.size(), 1U);
    const auto low = west.lowest(times.at(at_midnight - 50.0), times.at(at_midnight + 50.0));
    EXPECT_NEAR(*on.findings[0].tide_m, low->height.metres(), 2e-4);
    EXPECT_EQ(on.findings[0].grade, Grade::danger);
}
