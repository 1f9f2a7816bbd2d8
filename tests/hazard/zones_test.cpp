// Zones nest: a higher tide within a lower one, a narrower reading within a wider.
#include <gtest/gtest.h>

#include "dangerline/chart/cell.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/hazard/zones.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::hazard;

TEST(Zones, nest_as_the_tide_rises_and_as_the_reading_widens) {
    Diagnostics said;
    std::vector<chart::Cell> cells;
    cells.push_back(
        chart::read_cell(chart::find_cells({support::testdata() / "demo" / "X14DEMO1.000"}).front(), said));
    const geo::Plane plane({-27.91, 46.05});
    chart::lay_out(cells.front(), plane, said);
    const auto hazards = build(cells, said);
    const ZoneSettings settings{Water::from_metres(2.2), 50.0, 0.3,
                                geo::Box{-4000.0, -2000.0, 4000.0, 3500.0}};
    std::size_t vanished = 0, drawn = 0;
    for (const auto& h : hazards.all) {
        if (h.object.lnam.empty() || h.object.cls == "SOUNDG" || !settings.window->meets(h.box))
            continue;
        const ZoneMaker maker(h, settings);
        const auto within = [&](const std::vector<geo::PolygonRings>& inner,
                                const std::vector<geo::PolygonRings>& outer) {
            if (!inner.empty()) {
                EXPECT_LT(geo::area_of(geo::without(inner, outer)), 0.01)
                    << h.object.cls << " " << h.object.lnam;
            }
        };
        for (const auto reading : {ZoneReading::charted, ZoneReading::close, ZoneReading::wide}) {
            std::vector<geo::PolygonRings> lower = maker.at(TideHeight::from_metres(-0.5), reading).area;
            drawn += !lower.empty();
            for (const double tide_m : {1.0, 2.5, 4.0, 6.0}) {
                auto higher = maker.at(TideHeight::from_metres(tide_m), reading).area;
                within(higher, lower);
                vanished += higher.empty() && !lower.empty();
                lower = std::move(higher);
            }
        }
        for (const double tide_m : {0.0, 3.0}) {
            const auto at = [&](ZoneReading r) { return maker.at(TideHeight::from_metres(tide_m), r).area; };
            within(at(ZoneReading::charted), at(ZoneReading::close));
            within(at(ZoneReading::close), at(ZoneReading::wide));
        }
    }
    EXPECT_GT(drawn, 50U);
    EXPECT_GT(vanished, 5U);
}
