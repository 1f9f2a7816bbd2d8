#include "jobs/tides_along.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "dangerline/jobs/load.hpp"
#include "support/support.hpp"

using namespace dangerline;

// A slanting leg with a corridor of 1.5 km: the bottom is worked out as far as the corridor and the doubts of
// places reach, also where the boxes of short pieces alone would not.
TEST(TidesAlong, BottomIsWorkedOutAsFarAsTheCorridorReaches) {
    const auto plan = plan::read(support::testdata() / "demo/season.toml");
    const geo::Plane plane({-27.9, 46.06});
    passage::Route route;
    route.places = {{-27.95, 46.03}, {-27.87, 46.085}};
    route.half_widths_m = {1500.0};
    route.speeds_mps = {6.0};
    const std::vector<passage::Track> tracks{passage::Track(route, plane)};
    const jobs::TidesAlong tides(plan, start_of({2026, 6, 1}), start_of({2026, 6, 8}));
    chart::Cell cell;
    cell.header.sdat = 23;
    cell.header.cscl = 1'000'000; // QUAPOS 4 there: 1.5 mm, 1500 m
    chart::Feature doubtful;
    const auto holds = [&](double abeam_m) {
        const auto window = tides.bottom(tracks, {cell}, 2.2);
        if (!window)
            return false;
        const auto& leg = tracks[0].chords().front().leg;
        const geo::Point middle = leg.at(leg.length() / 2.0);
        const double x = (leg.to.y - leg.from.y) / leg.length(), y = -(leg.to.x - leg.from.x) / leg.length();
        return std::any_of(window->near.begin(), window->near.end(), [&](const geo::Box& box) {
            const geo::Point p{middle.x + abeam_m * x, middle.y + abeam_m * y};
            return box.meets({p.x, p.y, p.x, p.y});
        });
    };
    EXPECT_TRUE(holds(1500.0 + 500.0));
    EXPECT_FALSE(holds(1500.0 + 3500.0)) << "the test would hold with any window";
    doubtful.quapos = 4;
    cell.features = {doubtful};
    EXPECT_TRUE(holds(1500.0 + 1500.0));
}
