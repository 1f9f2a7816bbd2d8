#include <gtest/gtest.h>

#include "dangerline/chart/cell.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/hazard/share.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::hazard;

TEST(Share, falls_with_the_tide_and_with_what_the_surface_knows) {
    Diagnostics said;
    std::vector<chart::Cell> cells;
    cells.push_back(
        chart::read_cell(chart::find_cells({support::testdata() / "demo" / "X14DEMO1.000"}).front(), said));
    chart::lay_out(cells.front(), geo::Plane({-27.91, 46.05}), said);
    const auto without = build(cells, said);
    const auto with = build(cells, said, {BottomWindow{{{-9e3, -9e3, 9e3, 9e3}}, -60, 60}, {}, {}});
    const Water required = Water::from_metres(2.2);
    double danger_before = 1e12;
    for (const double tide_m : {-0.5, 0.5, 2.0, 4.0}) {
        const auto plain = share_of_water(without, required, TideHeight::from_metres(tide_m), 0.3);
        const auto known = share_of_water(with, required, TideHeight::from_metres(tide_m), 0.3);
        EXPECT_NEAR(plain.water, known.water, 1.0);
        EXPECT_LE(known.danger + known.caution + known.unknown, known.water + 1.0);
        // The surface finds more danger than the deep ends of ranges, and no more that is not known.
        EXPECT_GE(known.danger, plain.danger - 1.0) << tide_m;
        EXPECT_LE(known.danger + known.caution, plain.danger + plain.caution + 1.0) << tide_m;
        EXPECT_NEAR(known.unknown, plain.unknown, 1.0);
        EXPECT_LE(known.danger, danger_before + 1.0);
        danger_before = known.danger;
    }
    // The unsurveyed pocket of the demo, 0.32 square kilometres by the corners in its text.
    const auto share = share_of_water(with, required, TideHeight::from_metres(2.0), 0.3);
    EXPECT_NEAR(share.unknown, 323'750.0, 1'000.0);
}
