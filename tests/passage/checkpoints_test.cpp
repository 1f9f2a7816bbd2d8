// Water a sounder should find, on the demo's chart with a fixed tide.
#include "dangerline/passage/checkpoints.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "dangerline/chart/precedence.hpp"
#include "dangerline/hazard/build.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::passage;

namespace {

struct Demo {
    Diagnostics said;
    std::vector<chart::Cell> cells;
    geo::Plane plane{geo::Position{-27.9, 46.06}};
    hazard::Hazards hazards;
    std::optional<hazard::BottomBounds> bounds;

    Demo() {
        for (const auto& found : chart::find_cells({support::testdata() / "demo/X14DEMO1.000"}))
            cells.push_back(chart::read_cell(found, said));
        chart::lay_out(cells.front(), plane, said);
        chart::settle_scales(cells);
        const std::vector<geo::Box> everywhere{{-30000.0, -30000.0, 30000.0, 30000.0}};
        hazards = hazard::build(cells, said, {hazard::BottomWindow{everywhere, -100, 300}, {}, {}});
        bounds.emplace(cells, everywhere, false);
    }

    std::vector<Checkpoint> at(std::vector<geo::Position> places, std::optional<double> tide_m) const {
        Route r;
        r.places = std::move(places);
        r.half_widths_m.assign(r.places.size() - 1, 50.0);
        r.speeds_mps.assign(r.places.size() - 1, 5.0);
        const Track track(r, plane);
        const Timetable times(track, Instant::from_unix_seconds(1.78e9));
        Conditions c;
        if (tide_m)
            c.tides = Tides::one(tide::Curve::fixed(TideHeight::from_metres(*tide_m), ""), {23, {}});
        return checkpoints_of(track, times, hazards, *bounds, c);
    }
};

const Demo& demo() {
    static const Demo d;
    return d;
}

// Metres east and north of 46 N 28 W, as the chart's text has them, 77.5 km and 111.1 km a degree.
geo::Position place(double x, double y) {
    return {-28.0 + x / 77465.0, 46.0 + y / 111150.0};
}

} // namespace

TEST(Checkpoints, water_is_depth_and_tide_within_the_charted_range) {
    // Between the 5 m and the 10 m contour south of the bay, between 10 and 20 m farther out.
    for (const double tide_m : {0.0, 2.5}) {
        const auto points = demo().at({place(5400.0, 7600.0), place(5400.0, 6600.0)}, tide_m);
        ASSERT_EQ(points.size(), 2U);
        ASSERT_TRUE(points[0].water_m);
        EXPECT_GT(*points[0].water_m, 5.0 + tide_m - 1e-9);
        EXPECT_LT(*points[0].water_m, 10.0 + tide_m + 1e-9);
        EXPECT_GT(*points[1].water_m, 10.0 + tide_m - 1e-9);
        for (const auto& p : points) {
            EXPECT_EQ(p.tide_m, tide_m);
            ASSERT_TRUE(p.least_m && p.most_m);
            EXPECT_LE(*p.least_m, *p.water_m);
            EXPECT_GE(*p.most_m, *p.water_m);
            // CATZOC A2: 1.0 m and 2 %; tide 0.3 m.
            EXPECT_NEAR(p.doubt_m, std::hypot(0.3, 1.0 + 0.02 * (*p.water_m - tide_m)), 1e-9);
        }
    }
}

TEST(Checkpoints, land_is_left_out_and_five_are_the_most) {
    std::vector<geo::Position> places{place(5400.0, 9500.0)};
    for (int i = 0; i < 9; ++i)
        places.push_back(place(5400.0 + 100.0 * i, 7600.0 - 100.0 * i));
    const auto points = demo().at(places, 1.0);
    ASSERT_EQ(points.size(), 5U);
    EXPECT_EQ(points.front().place, 1U);
    EXPECT_EQ(points.back().place, 9U);
}

TEST(Checkpoints, what_is_not_known_is_said) {
    // Unsurveyed water east of the bay; no tide at all; off the chart.
    const auto unsurveyed = demo().at({place(12750.0, 7350.0), place(5400.0, 7600.0)}, 1.0);
    EXPECT_FALSE(unsurveyed[0].water_m || unsurveyed[0].least_m);
    EXPECT_FALSE(unsurveyed[0].reason.empty());
    const auto no_tide = demo().at({place(5400.0, 7600.0), place(5400.0, 6600.0)}, {});
    EXPECT_EQ(no_tide[0].reason, "no tide is known for this time");
    EXPECT_FALSE(no_tide[0].water_m);
    const auto off = demo().at({place(5400.0, -2000.0), place(5400.0, 6600.0)}, 1.0);
    EXPECT_FALSE(off[0].water_m || off[0].least_m);
    EXPECT_FALSE(off[0].reason.empty());
}
