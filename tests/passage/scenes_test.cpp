// Worked scenes: areas, quality zones, bridges, gaps and turns. Required water 1.4 m, tide doubt 0.3 m
// throughout.
#include <gtest/gtest.h>

#include "dangerline/passage/check.hpp"
#include "passage/made_hazards.hpp"

using namespace dangerline;
using namespace dangerline::passage;
using hazard::Cause;
using hazard::Grade;
using hazard::InForce;
using hazard::Kind;

namespace {

using made_hazards::plane;
using made_hazards::world;

std::shared_ptr<const geo::Shape> box(double west, double south, double east, double north) {
    return std::make_shared<const geo::Shape>(
        geo::Shape::of_area({{{west, south}, {east, south}, {east, north}, {west, north}}}));
}

std::shared_ptr<const geo::Shape> point(double x, double y) {
    return std::make_shared<const geo::Shape>(geo::Shape::of_points({{x, y}}));
}

hazard::Step step(InForce in_force, Grade decides, Cause cause, double depth_m,
                  std::shared_ptr<const geo::Shape> extent) {
    hazard::Step s;
    s.in_force = in_force;
    s.decides = decides;
    s.cause = cause;
    s.depth = Depth::from_metres(depth_m);
    s.extent = std::move(extent);
    return s;
}

hazard::Hazard hazard_of(Kind kind, const std::string& cls, const std::string& what,
                         std::vector<hazard::Step> steps, int catzoc = 3) {
    hazard::Hazard h;
    h.kind = kind;
    h.object = {cls + what, cls, "", "TEST"};
    h.what = what;
    h.datum = 23;
    h.allowance = survey::allowance_for(
        {.scale = 10000, .quapos = {}, .posacc_m = {}, .souacc_m = {}, .catzoc = catzoc, .depth_m = 0.0});
    h.steps = std::move(steps);
    h.box = h.steps.front().extent->box();
    return h;
}

/// A depth area as the rules make it: its deepest decides danger, its shoalest caution.
hazard::Hazard depth_area(double shoalest, double deepest, std::shared_ptr<const geo::Shape> extent) {
    auto h = hazard_of(Kind::depth, "DEPARE", "depth area",
                       {step(InForce::below, Grade::danger, Cause::none, deepest, extent),
                        step(InForce::below, Grade::caution, Cause::assumed, shoalest, extent)});
    h.between = true;
    return h;
}

Route route(const std::vector<geo::Point>& places) {
    Route r;
    r.name = "test";
    for (const auto& p : places)
        r.places.push_back(plane().to_position(p));
    r.half_widths_m.assign(places.size() - 1, 50.0);
    r.speeds_mps.assign(places.size() - 1, 6.0 * mps_per_knot);
    r.shore_start_m = r.shore_end_m = 0.0;
    return r;
}

const std::vector<geo::Point> straight{{-3000.0, 0.0}, {3000.0, 0.0}};

Conditions conditions(double tide_m) {
    return {{},
            Water::from_metres(1.4),
            {0.3, 0.0, 0.0},
            Tides::one(tide::Curve::fixed(TideHeight::from_metres(tide_m), ""), {23, {}}),
            {}};
}

Check run(const hazard::Hazards& w, const Conditions& c, const std::vector<geo::Point>& places = straight) {
    const Track track(route(places), plane());
    return check(track, Timetable(track, Instant::from_unix_seconds(1.78e9)), w, c);
}

} // namespace

// A dangerous wreck always under water, depth not known, in a depth area of 10 to 20 m: assumed 0.0 m
// carries 3.0 m at a tide of 3.0 but only 1.0 m at a tide of 1.0; the area under it never lifts it.
TEST(Scenes, wreck_of_unknown_depth_is_never_better_than_caution) {
    const auto place = point(0.0, 20.0);
    const auto w = world({hazard_of(Kind::depth, "WRECKS", "wreck",
                                    {step(InForce::below, Grade::danger, Cause::none, 0.0, place),
                                     step(InForce::always, Grade::caution, Cause::assumed, 0.0, place)}),
                          depth_area(10.0, 20.0, box(-4000.0, -2000.0, 4000.0, 2000.0))});
    for (const double tide_m : {3.0, 30.0}) {
        const Check c = run(w, conditions(tide_m));
        ASSERT_FALSE(c.findings.empty());
        EXPECT_EQ(c.findings.front().grade, Grade::caution);
        EXPECT_EQ(c.findings.front().cause, Cause::assumed);
    }
    EXPECT_EQ(run(w, conditions(1.0)).worst, Grade::danger);
}

// CATZOC C, own water 5.0 m, tide 0.3: doubt sqrt(2.25^2 + 0.3^2) = 2.27 leaves 3.03 m of 5.3. A sounding
// of 1.0 m lies 300 m off: outside 50 + 50, within 50 + 500. One line for the zone, cause survey.
TEST(Scenes, shoal_within_the_doubt_of_its_zone_is_one_line_for_the_zone) {
    const auto everywhere = box(-4000.0, -2000.0, 4000.0, 2000.0);
    auto sounding = hazard_of(Kind::depth, "SOUNDG", "sounding",
                              {step(InForce::below, Grade::danger, Cause::none, 1.0, point(0.0, 300.0))}, 4);
    sounding.between = true;
    auto area = depth_area(5.0, 10.0, everywhere);
    const std::vector<survey::QualityZone> zones{{"ZONE", "TEST", 4, {1936, 1936}, everywhere}};
    const Check c = run(world({area, sounding}, zones), conditions(0.3));
    ASSERT_EQ(c.findings.size(), 1U);
    EXPECT_EQ(c.findings.front().grade, Grade::caution);
    EXPECT_EQ(c.findings.front().cause, Cause::survey);
    EXPECT_EQ(c.findings.front().kind, Kind::survey);
    EXPECT_EQ(c.findings.front().object.lnam, "ZONE");
    // Half the chord of a disc of 550 m at 300 m: sqrt(550^2 - 300^2) = 461 m.
    EXPECT_NEAR(c.findings.front().length_m, 2.0 * 461.0, 3.0);
    // Without the sounding nothing is found; with a better zone neither.
    EXPECT_TRUE(run(world({area}, zones), conditions(0.3)).findings.empty());
    const std::vector<survey::QualityZone> better{{"ZONE", "TEST", 3, {2020, 2020}, everywhere}};
    EXPECT_TRUE(run(world({area, sounding}, better), conditions(0.3)).findings.empty());
}

// Clearance 4.0 m above a high-water datum of 5.0 m, 3.5 m of aerial and 0.5 m margin: a tide of 5.4
// leaves 3.6, one of 2.0 leaves 7.0.
TEST(Scenes, bridge_is_judged_at_the_highest_tide) {
    auto deck = step(InForce::above, Grade::danger, Cause::none, 0.0, box(-10.0, -200.0, 10.0, 200.0));
    deck.clearance_m = 4.0;
    auto bridge = hazard_of(Kind::overhead, "BRIDGE", "bridge", {deck});
    bridge.datum = 17;
    const auto w = world({bridge});
    auto c = conditions(5.4);
    c.boat.air_draught_m = 3.5;
    c.tides.stations[0].datums.metres_below_source[17] = -5.0;
    const Check high = run(w, c);
    EXPECT_EQ(high.worst, Grade::danger);
    EXPECT_NEAR(*high.findings.front().water_m, 3.6, 1e-9);
    c.tides.stations[0].prediction.curve = tide::Curve::fixed(TideHeight::from_metres(2.0), "");
    EXPECT_TRUE(run(w, c).findings.empty());
    // What is not known makes nothing better.
    c.tides.stations[0].datums.metres_below_source.clear();
    EXPECT_EQ(run(w, c).worst, Grade::unknown);
    c.tides.stations[0].datums.metres_below_source[17] = -5.0;
    c.boat.air_draught_m.reset();
    EXPECT_EQ(run(w, c).worst, Grade::unknown);
}

// Two coverages with 200 m between them; the corridor reaches 50 m over either edge.
TEST(Scenes, gap_between_coverages_is_unknown) {
    auto gap = hazard_of(
        Kind::no_data, "", "no chart covers this water",
        {step(InForce::always, Grade::unknown, Cause::none, 0.0, box(-100.0, -5000.0, 100.0, 5000.0))});
    gap.object = {};
    gap.uncovered = true;
    const Check c = run(world({gap}), conditions(3.0));
    EXPECT_EQ(c.worst, Grade::unknown);
    EXPECT_NEAR(c.findings.front().length_m, 200.0 + 2.0 * 50.0, 0.5);
    EXPECT_NEAR(c.tested.not_covered_m, 200.0, 0.5); // of the line itself
}

// The bank lies at the turn: one finding, from before the turn until after it.
TEST(Scenes, contact_over_a_turn_is_one_finding) {
    const std::vector<geo::Point> turn{{-3000.0, 0.0}, {0.0, 0.0}, {0.0, 3000.0}};
    const Check c =
        run(world({depth_area(-1.0, 0.0, box(-300.0, -100.0, 100.0, 400.0))}), conditions(0.5), turn);
    ASSERT_EQ(c.findings.size(), 1U);
    const Track track(route(turn), plane());
    const double at_turn = track.place_coordinates()[1];
    EXPECT_EQ(c.findings.front().grade, Grade::danger);
    EXPECT_NEAR(c.findings.front().span.from, at_turn - 350.0, 1.0);
    EXPECT_NEAR(c.findings.front().span.to, at_turn + 450.0, 1.0);
}

// The same rock either side of 180 degrees, on a line that runs on over it: one contact of the same length.
TEST(Scenes, passage_over_the_antimeridian) {
    const geo::Plane far({180.0, -17.0});
    Route r = route(straight);
    r.places = {{179.98, -17.0}, {180.02, -17.0}};
    for (const double lon_deg : {179.999, -179.999, 180.0}) {
        const geo::Point at = far.to_plane(geo::Position{lon_deg, -17.0});
        const auto w =
            world({hazard_of(Kind::depth, "UWTROC", "rock",
                             {step(InForce::below, Grade::danger, Cause::none, 0.0, point(at.x, at.y))})});
        const Track track(r, far);
        const Check c =
            check(track, Timetable(track, Instant::from_unix_seconds(1.78e9)), w, conditions(1.0));
        ASSERT_EQ(c.findings.size(), 1U) << lon_deg;
        EXPECT_EQ(c.findings.front().grade, Grade::danger);
        EXPECT_NEAR(c.findings.front().length_m, 100.0, 0.5);
    }
}

// The way home: the same beach at the end of the line.
TEST(Scenes, shore_stretch_at_the_end) {
    auto land = hazard_of(
        Kind::shore, "LNDARE", "land",
        {step(InForce::always, Grade::danger, Cause::none, 0.0, box(2990.0, -900.0, 3500.0, 900.0))});
    Route r = route(straight);
    r.shore_end_m.reset();
    const Track track(r, plane());
    const auto run_with = [&](double bar_m) {
        return check(track, Timetable(track, Instant::from_unix_seconds(1.78e9)),
                     world({land, depth_area(-2.0, 0.0, box(2950.0, -900.0, 2990.0, 900.0)),
                            depth_area(bar_m, bar_m + 0.1, box(2900.0, -900.0, 2950.0, 900.0)),
                            depth_area(10.0, 20.0, box(-4000.0, -900.0, 2900.0, 900.0))}),
                     conditions(1.2));
    };
    const Check clean = run_with(0.5);
    EXPECT_EQ(clean.worst, Grade::caution);
    EXPECT_EQ(clean.findings.front().kind, Kind::shore);
    EXPECT_NEAR(clean.findings.front().length_m, 50.0, 1.0);
    r.shore_end_m = 0.0; // the plan says that there is none
    const Track without(r, plane());
    EXPECT_EQ(
        check(without, Timetable(without, Instant::from_unix_seconds(1.78e9)), world({land}), conditions(1.2))
            .worst,
        Grade::danger);
}

// A rock in the shore stretch is still a danger; the land and the depth area it starts over are not; a bar
// 100 m off is tested.
TEST(Scenes, shore_stretch_takes_out_land_and_its_own_depth_steps_only) {
    const auto launch = [](std::vector<hazard::Hazard> more) {
        auto land = hazard_of(
            Kind::shore, "LNDARE", "land",
            {step(InForce::always, Grade::danger, Cause::none, 0.0, box(-3500.0, -900.0, -2990.0, 900.0))});
        std::vector<hazard::Hazard> all{land, depth_area(-2.0, 0.0, box(-2990.0, -900.0, -2950.0, 900.0)),
                                        depth_area(0.5, 5.0, box(-2950.0, -900.0, -2900.0, 900.0))};
        all.insert(all.end(), more.begin(), more.end());
        const Track track(
            [] {
                Route r = route(straight);
                r.shore_start_m.reset();
                r.shore_end_m = 0.0;
                return r;
            }(),
            plane());
        return check(track, Timetable(track, Instant::from_unix_seconds(1.78e9)), world(all),
                     conditions(1.2));
    };
    const auto deep = depth_area(10.0, 20.0, box(-2900.0, -900.0, 4000.0, 900.0));
    const Check clean = launch({deep});
    ASSERT_FALSE(clean.findings.empty());
    EXPECT_EQ(clean.findings.front().grade, Grade::caution);
    EXPECT_EQ(clean.findings.front().kind, Kind::shore);
    // It ends where 0.5 m and 1.2 m of tide carry 1.4 m: 50 m out.
    EXPECT_NEAR(clean.findings.front().length_m, 50.0, 1.0);

    const Check with_rock = launch(
        {deep, hazard_of(Kind::depth, "UWTROC", "rock",
                         {step(InForce::below, Grade::danger, Cause::none, -1.0, point(-2960.0, 10.0))})});
    EXPECT_EQ(with_rock.worst, Grade::danger);
    EXPECT_EQ(with_rock.findings.front().object.cls, "UWTROC");

    const Check with_bar = launch({depth_area(-1.0, 0.0, box(-2900.0, -900.0, -2870.0, 900.0)),
                                   depth_area(10.0, 20.0, box(-2870.0, -900.0, 4000.0, 900.0))});
    EXPECT_EQ(with_bar.worst, Grade::danger);
    EXPECT_EQ(with_bar.findings.front().object.cls, "DEPARE");
}

TEST(Scenes, a_tide_of_doubtful_shape_makes_the_whole_route_caution) {
    auto c = conditions(3.0);
    const auto deep = depth_area(10.0, 20.0, box(-4000.0, -900.0, 4000.0, 900.0));
    EXPECT_EQ(run(world({deep}), c).worst, Grade::none_found);
    c.tides.stations[0].prediction.doubtful_shape = {
        {Instant::from_unix_seconds(1.78e9 - 3600.0), Instant::from_unix_seconds(1.78e9)}};
    const Check doubtful = run(world({deep}), c);
    EXPECT_EQ(doubtful.worst, Grade::caution);
    ASSERT_EQ(doubtful.findings.size(), 1U);
    EXPECT_EQ(doubtful.findings.front().cause, Cause::margin);
    EXPECT_NE(doubtful.findings.front().reason.find("1.5 h"), std::string::npos);
}
