// A beach and a bar by their depth surface: the shore stretch, the steps of a bank, what a finding names.
#include <gtest/gtest.h>

#include <cstdlib>

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

hazard::Hazard hazard_of(Kind kind, const std::string& cls, std::vector<hazard::Step> steps) {
    hazard::Hazard h;
    h.kind = kind;
    h.object = {cls, cls, "", "TEST"};
    h.what = cls == "DEPARE" ? "depth area" : "land";
    h.datum = 23;
    h.allowance = survey::allowance_for(
        {.scale = 10000, .quapos = {}, .posacc_m = {}, .souacc_m = {}, .catzoc = 3, .depth_m = 0.0});
    h.steps = std::move(steps);
    h.box = h.steps.front().extent->box();
    return h;
}

/// Bottom that falls 1 in 20 eastwards from `west` on, where it is `shoalest`; as far as it is `deepest`.
hazard::Hazard slope(double west, double shoalest, double deepest, double south, double north,
                     const std::vector<seabed::Vertex>& soundings = {}) {
    const double east = west + 20.0 * (deepest - shoalest);
    seabed::AreaDepths depths;
    depths.shoalest_m = shoalest;
    depths.deepest_m = deepest;
    depths.area = {{{{west, south}, {east, south}, {east, north}, {west, north}, {west, south}}}};
    using seabed::Source;
    // The sides run across the levels; their ends are those of the contours.
    depths.edge_depth_m = {deepest, deepest, deepest, shoalest};
    depths.edge_source = {Source::edge, Source::edge, Source::edge, Source::shoal_end};
    depths.soundings = soundings;
    const auto surface = std::make_shared<const seabed::Surface>(*seabed::Surface::build(depths));
    const auto whole = box(west, south, east, north);
    std::vector<hazard::Step> steps(1);
    steps[0].depth = Depth::from_metres(deepest);
    steps[0].extent = whole;
    for (int level = seabed::level_at_or_above(shoalest); level < seabed::level_at_or_above(deepest);
         ++level) {
        hazard::Step s;
        s.depth = Depth::from_metres(level / 10.0);
        s.extent = std::make_shared<const geo::Shape>(surface->no_deeper_than(level + 1));
        steps.push_back(std::move(s));
    }
    auto h = hazard_of(Kind::depth, "DEPARE", std::move(steps));
    h.between = true;
    h.surface = surface;
    return h;
}

Conditions conditions(double tide_m) {
    return {{},
            Water::from_metres(1.4),
            {0.3, 0.0, 0.0},
            Tides::one(tide::Curve::fixed(TideHeight::from_metres(tide_m), ""), {23, {}}),
            {}};
}

Check run(std::vector<hazard::Hazard> all, double tide_m, bool landing) {
    Route r;
    for (const geo::Point p : {geo::Point{-3000.0, 0.0}, geo::Point{3000.0, 0.0}})
        r.places.push_back(plane().to_position(p));
    r.half_widths_m = {50.0};
    r.speeds_mps = {6.0 * mps_per_knot};
    r.shore_end_m = 0.0;
    if (!landing)
        r.shore_start_m = 0.0;
    const Track track(r, plane());
    return check(track, Timetable(track, Instant::from_unix_seconds(1.78e9)), world(std::move(all)),
                 conditions(tide_m));
}

const Finding* shore_of(const Check& c) {
    for (const auto& f : c.findings)
        if (f.kind == Kind::shore && f.object.cls.empty())
            return &f;
    return nullptr;
}

} // namespace

// Slope 1 in 20, required water 1.4 m: 1.4 x 20 = 28 m from the waterline to where the boat floats, whatever
// the tide.
TEST(SurfaceScenes, the_shore_stretch_is_as_long_as_the_slope_says) {
    const auto land = hazard_of(Kind::shore, "LNDARE", [] {
        std::vector<hazard::Step> steps(1);
        steps[0].in_force = InForce::always;
        steps[0].extent = box(-3500.0, -900.0, -3000.0, 900.0);
        return steps;
    }());
    for (const double tide_m : {0.0, 0.5, 2.0}) {
        const Check c = run({land, slope(-3000.0, -3.0, 3.0, -900.0, 900.0)}, tide_m, true);
        const Finding* shore = shore_of(c);
        ASSERT_NE(shore, nullptr);
        const auto at = shore->reason.find("about ");
        ASSERT_NE(at, std::string::npos) << shore->reason;
        EXPECT_NEAR(std::atof(shore->reason.c_str() + at + 6), 28.0, 2.0) << shore->reason;
        EXPECT_NEAR(shore->length_m, (3.0 - tide_m) * 20.0 + 28.0, 2.0);
        EXPECT_LE(c.worst, Grade::caution) << c.findings.front().reason;
    }
    // Too little tide for 150 m: the flat is said, and what lies beyond is danger.
    const Check flat = run({land, slope(-3000.0, -9.0, 3.0, -900.0, 900.0)}, 0.0, true);
    EXPECT_NE(shore_of(flat)->reason.find("to wade"), std::string::npos) << shore_of(flat)->reason;
    EXPECT_EQ(flat.worst, Grade::danger);
}

// The bank's own depth at the line decides, not the ends of its range.
TEST(SurfaceScenes, a_bank_is_danger_as_far_as_its_surface_lacks_water) {
    const auto bank = slope(-100.0, -1.0, 9.0, -900.0, 900.0);
    // Water 1.4 m where the bottom is 1.4 - tide; the corridor reaches 50 m farther.
    for (const double tide_m : {0.0, 1.0, 2.0}) {
        const Check c = run({bank}, tide_m, false);
        ASSERT_EQ(c.worst, Grade::danger);
        const Finding& f = c.findings.front();
        EXPECT_NEAR(f.span.to - 3000.0, -100.0 + 20.0 * (1.4 - tide_m + 1.0) + 50.0, 2.1);
        EXPECT_NEAR(*f.depth_m, -1.0, 1e-9);
    }
    EXPECT_LT(run({bank}, 2.8, false).worst, Grade::danger);
}

TEST(SurfaceScenes, a_finding_names_the_sounding_it_rests_on) {
    std::vector<seabed::Vertex> soundings{{{210.0, 10.0}, 0.4, seabed::Source::sounding, "0226000000010001"}};
    for (double x = -900.0; x < 800.0; x += 100.0)
        for (double y = -300.0; y <= 300.0; y += 100.0)
            soundings.push_back({{x, y}, 8.0, seabed::Source::sounding, "0226000000020001"});
    const auto bank = slope(-1000.0, 0.0, 90.0, -900.0, 900.0, soundings);
    const Check c = run({bank}, 0.3, false);
    bool named = false;
    for (const auto& f : c.findings)
        named = named || (f.reason.find("by the sounding of 0.4 m") != std::string::npos &&
                          f.reason.find("0226000000010001") != std::string::npos);
    EXPECT_TRUE(named);
}
