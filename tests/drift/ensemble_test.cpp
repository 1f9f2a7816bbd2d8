// Drift against tracks known in closed form, and the worked scenes.
#include "dangerline/drift/ensemble.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <numbers>

#include "drift/worlds.hpp"

using namespace dangerline;
using namespace dangerline::drift;
using namespace dangerline::drift::worlds;

namespace {

constexpr double pi = std::numbers::pi;

struct Case {
    Scene scene;
    StreamGrid water = steady(0.0, 0.0);
    sea::Wind wind = sea::Wind::steady(0.0, 0.0, "none");
    TideLine tide = level(3.0);
    Leeway leeway{};
    EnsembleSettings settings{.particles = 4, .errors = Errors::none()};
    double hours = 1.0;

    Adrift adrift() const {
        Adrift a;
        a.begin = noon;
        a.lasts_s = hours * 3600.0;
        a.leeway = leeway;
        a.water = &water;
        a.wind = &wind;
        a.tide = &tide;
        return a;
    }
    Ensemble go() const { return run(adrift(), scene.dangers(), settings); }
};

double compass_deg(geo::Point p) {
    const double deg = std::atan2(p.x, p.y) * 180.0 / pi;
    return deg < 0.0 ? deg + 360.0 : deg;
}

double sd(const std::vector<double>& values) {
    double mean = 0.0, sum = 0.0;
    for (const double v : values)
        mean += v / static_cast<double>(values.size());
    for (const double v : values)
        sum += (v - mean) * (v - mean);
    return std::sqrt(sum / static_cast<double>(values.size() - 1));
}

} // namespace

// 10 m/s from 270 at 3.65 %, stream to 180 at 1 kn: east 0.365, south 0.5144, 1.226 kn towards 144.6.
TEST(Drift, straight_track_to_a_ledge) {
    for (const auto& [share, east_m] : {std::pair{0.0365, 638.6}, {0.077, 1347.2}}) {
        Case s;
        s.scene.ledge({{-5000.0, -900.0}, {5000.0, -900.0}}, -9.0);
        s.water = steady(180.0, mps_per_knot);
        s.wind = sea::Wind::steady(270.0, 10.0, "W");
        s.leeway.share = share;
        for (const auto& fate : s.go().fates) {
            EXPECT_NEAR(fate.touch_s, 1749.5, 2.0); // 900 / 0.5144; streams are kept to 1 mm/s
            EXPECT_NEAR(fate.end_at.x, east_m, 2.0);
            EXPECT_NEAR(fate.end_at.y, -900.0, 0.1);
            EXPECT_EQ(fate.end, End::touched);
        }
    }
    Case s;
    s.water = steady(180.0, mps_per_knot);
    s.wind = sea::Wind::steady(270.0, 10.0, "W");
    s.leeway.share = 0.0365;
    const auto end = s.go().fates.front().end_at;
    EXPECT_NEAR(std::hypot(end.x, end.y) / 1852.0, 1.226, 2e-3);
    EXPECT_NEAR(compass_deg(end), 144.6, 0.1);
}

TEST(Drift, before_the_wind_and_off_to_either_side) {
    Case s;
    s.wind = sea::Wind::steady(225.0, 10.0, "SW"); // leeway towards 045
    s.leeway = {0.05, 0.0, 20.0};
    EXPECT_NEAR(compass_deg(s.go().fates.front().end_at), 45.0, 0.01);
    s.settings.particles = 2000;
    s.settings.errors.divergence_share = 1e-6;
    int right = 0;
    for (const auto& fate : s.go().fates) {
        const double deg = compass_deg(fate.end_at);
        EXPECT_NEAR(std::abs(deg - 45.0), 20.0, 0.1); // right of the wind is the larger number
        right += deg > 45.0 ? 1 : 0;
    }
    EXPECT_NEAR(right, 1000, 4 * 22);
}

// A stream of constant rate whose set turns once in T carries a boat round a circle of radius rate T / 2 pi.
TEST(Drift, turning_stream_makes_a_circle) {
    const double rate = 0.8, period = 12.4206 * 3600.0, w = 2.0 * pi / period;
    Case s;
    s.hours = 12.4206;
    s.water = grid_of(
        [&](geo::Point, double t) {
            return sea::Stream{rate * std::cos(w * t), rate * std::sin(w * t)};
        },
        13.0);
    s.settings.tracks = 1;
    const auto ensemble = s.go();
    // 0.1 % of the way round: streams are straight between slices of 10 minutes, kept to 1 mm/s, and north
    // leans in the plane.
    for (std::size_t i = 0; i + 1 < ensemble.tracks[0].size(); ++i) {
        const double t = static_cast<double>(i) * track_step_s;
        EXPECT_NEAR(ensemble.tracks[0][i].x, rate / w * std::sin(w * t), 22.0);
        EXPECT_NEAR(ensemble.tracks[0][i].y, rate / w * (1.0 - std::cos(w * t)), 22.0);
    }
    EXPECT_LT(std::hypot(ensemble.fates[0].end_at.x, ensemble.fates[0].end_at.y), 60.0); // of 22 km round
}

// Water that turns like a plate: the grid is exact for it, what errs is the step.
TEST(Drift, second_order_in_the_step) {
    const double w = 2.0 * pi / (3.0 * 3600.0);
    const auto error = [&](double step_s) {
        Case s;
        s.hours = 3.0;
        s.settings.step_s = step_s;
        s.settings.particles = 1;
        s.water = grid_of([&](geo::Point p, double) { return sea::Stream{-w * p.y, w * p.x}; }, 3.0);
        auto adrift = s.adrift();
        adrift.start = {3000.0, 0.0};
        const auto end = run(adrift, s.scene.dangers(), s.settings).fates[0].end_at;
        return std::hypot(end.x - 3000.0, end.y);
    };
    const double coarse = error(600.0), middle = error(300.0), fine = error(150.0);
    EXPECT_NEAR(coarse / middle, 4.0, 1.0) << coarse << " " << middle;
    EXPECT_NEAR(middle / fine, 4.0, 1.2) << middle << " " << fine;
}

TEST(Drift, half_a_metre_in_twelve_hours) {
    const double rate = 1.0, w = 2.0 * pi / (12.4206 * 3600.0);
    const auto end_with = [&](double step_s) {
        Case s;
        s.hours = 12.0;
        s.settings.step_s = step_s;
        s.settings.particles = 1;
        s.water = grid_of(
            [&](geo::Point p, double t) {
                return sea::Stream{rate * std::cos(w * t) + 2e-5 * p.y, rate * std::sin(w * t) - 2e-5 * p.x};
            },
            12.0);
        return s.go().fates[0].end_at;
    };
    const auto a = end_with(60.0), b = end_with(15.0);
    EXPECT_LT(std::hypot(a.x - b.x, a.y - b.y), 0.5);
}

TEST(Drift, random_walk_spreads_by_2Kt) {
    Case s;
    s.settings.particles = 20'000;
    s.settings.errors.eddies_m2ps = 1.5;
    std::vector<double> east, north;
    double across = 0.0;
    for (const auto& fate : s.go().fates) {
        east.push_back(fate.end_at.x);
        north.push_back(fate.end_at.y);
        across += fate.end_at.x * fate.end_at.y;
    }
    const double expected = std::sqrt(2.0 * 1.5 * 3600.0);
    EXPECT_NEAR(sd(east) / expected, 1.0, 0.02); // four standard errors of 0.5 %
    EXPECT_NEAR(sd(north) / expected, 1.0, 0.02);
    EXPECT_NEAR(across / 20'000.0 / (expected * expected), 0.0, 0.03);
}

// Stream 2 kn, 20 % persistent, one hour: 3704 m x 0.2 = 741 m along the stream; drawn anew each minute it
// would be 96 m.
TEST(Drift, errors_persist) {
    Case s;
    s.settings.particles = 20'000;
    s.settings.errors.stream_share = 0.2;
    s.water = steady(0.0, 2.0 * mps_per_knot);
    std::vector<double> north;
    for (const auto& fate : s.go().fates)
        north.push_back(fate.end_at.y);
    EXPECT_NEAR(sd(north), 741.0, 0.03 * 741.0);
}

// Ledge drying 0.5, tide 1.5 and falling 1 m/h: water 1.0 is less than required; it touches when the tide is
// below 0.6 + 0.5, after 24 minutes.
TEST(Drift, entering_is_not_touching) {
    Case s;
    s.scene.ledge({{-100.0, 0.0}, {100.0, 0.0}}, -0.5);
    s.tide = {[](Instant t) { return 1.5 - (t - noon) / 3600.0; }, noon - 3600.0, noon + 7200.0};
    s.hours = 10.0 / 60.0;
    for (const auto& fate : s.go().fates) {
        EXPECT_EQ(fate.zone_s, 0.0f);
        EXPECT_EQ(fate.touch_s, not_reached);
        EXPECT_EQ(fate.end, End::afloat);
    }
    s.hours = 0.5;
    for (const auto& fate : s.go().fates)
        EXPECT_NEAR(fate.touch_s, 24.0 * 60.0, 1.0);
}

// A bank drying 0.8 far to all sides, the boat hardly moving, tide 3.2 and falling 1 m/h: too little water
// below 2.2, aground below 1.4. What was far before does not count when the tide has fallen.
TEST(Drift, falling_dry_in_the_middle_of_a_bank) {
    Case s;
    hazard::Step step;
    step.depth = Depth::from_metres(-0.8);
    s.scene.add(hazard::Kind::depth,
                geo::Shape::of_area({{{-3000.0, -3000.0}, {3000.0, -3000.0}, {0.0, 4000.0}}}), step);
    s.water = steady(90.0, 0.05);
    s.tide = {[](Instant t) { return 3.2 - (t - noon) / 3600.0; }, noon - 3600.0, noon + 3.0 * 3600.0};
    s.hours = 2.0;
    for (const auto& fate : s.go().fates) {
        EXPECT_NEAR(fate.zone_s, 3600.0, 1.0);
        EXPECT_NEAR(fate.touch_s, 6480.0, 1.0);
    }
}

TEST(Drift, own_way_is_added_for_its_time) {
    Case s;
    auto adrift = s.adrift();
    adrift.own_mps = {0.5, -0.25};
    adrift.own_s = 1200.0;
    const auto end = run(adrift, s.scene.dangers(), s.settings).fates[0].end_at;
    EXPECT_NEAR(end.x, 600.0, 20.0); // the last step but one still counts by half
    EXPECT_NEAR(end.y, -300.0, 10.0);
}
