// Surfaces of whole cells: what the chart says at every sounding and edge is kept.
#include <gtest/gtest.h>

#include <cmath>

#include "dangerline/chart/cell.hpp"
#include "dangerline/seabed/window.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::seabed;

namespace {

struct Laid {
    chart::Cell cell;
    std::vector<const chart::Feature*> areas;
};

Laid lay(const std::filesystem::path& source) {
    Diagnostics said;
    Laid out{chart::read_cell(chart::find_cells({source}).front(), said), {}};
    chart::lay_out(out.cell, geo::Plane(*chart::middle_of(out.cell)), said);
    for (const auto& f : out.cell.features)
        if (range_of(f))
            out.areas.push_back(&f);
    return out;
}

void expect_chart_kept(const Laid& laid, const geo::Box& window, std::size_t at_least) {
    const auto made = Window(laid.cell, {window}).make(laid.areas);
    ASSERT_EQ(made.size(), laid.areas.size());
    std::size_t soundings = 0;
    for (std::size_t i = 0; i < made.size(); ++i) {
        EXPECT_EQ(made[i].why_not, "") << laid.areas[i]->cls << " " << to_text(laid.areas[i]->id);
        if (!made[i].surface)
            continue;
        const auto range = *range_of(*laid.areas[i]);
        for (const auto& v : made[i].surface->vertices()) {
            EXPECT_GE(v.depth_m, range.shoalest_m);
            EXPECT_LE(v.depth_m, range.deepest_m);
        }
        // A sounding is met by the surface, but for one beyond the range or with a shoaler one in its place.
        for (const auto& f : laid.cell.features) {
            if (f.cls != "SOUNDG" || f.attributes.has("QUASOU"))
                continue;
            for (std::size_t k = 0; k < f.shape->points().size(); ++k) {
                const auto at = f.shape->points()[k];
                const double depth = f.geometry.depths_m[k];
                if (!window.meets({at.x, at.y, at.x, at.y}) || std::isnan(depth) ||
                    !laid.areas[i]->shape->contains(at))
                    continue;
                const auto surface = made[i].surface->depth(at);
                ASSERT_TRUE(surface.has_value());
                EXPECT_LE(*surface, std::clamp(depth, range.shoalest_m, range.deepest_m) + 1e-6);
                ++soundings;
            }
        }
    }
    EXPECT_GE(soundings, at_least);
}

} // namespace

TEST(Window, of_the_demo_keeps_ranges_and_soundings) {
    expect_chart_kept(lay(support::testdata() / "demo" / "X14DEMO1.000"), {-9e3, -9e3, 9e3, 9e3}, 400);
}

TEST(Window, of_a_real_cell_keeps_ranges_and_soundings) {
    SKIP_WITHOUT_REAL_CELLS(folder);
    expect_chart_kept(lay(*folder), {-10e3, -10e3, 10e3, 10e3}, 300);
}

TEST(Window, a_drawn_edge_holds_its_contour_on_both_sides) {
    const Laid laid = lay(support::testdata() / "demo" / "X14DEMO1.000");
    const auto made = Window(laid.cell, {{-9e3, -9e3, 9e3, 9e3}}).make(laid.areas);
    std::size_t shared = 0;
    for (std::size_t a = 0; a < made.size(); ++a)
        for (std::size_t b = 0; b < made.size(); ++b) {
            if (a == b || !made[a].surface || !made[b].surface ||
                range_of(*laid.areas[a])->deepest_m != range_of(*laid.areas[b])->shoalest_m)
                continue;
            for (const auto& v : made[a].surface->vertices())
                for (const auto& w : made[b].surface->vertices())
                    if (v.at == w.at && v.source == Source::edge && w.source == Source::edge) {
                        EXPECT_EQ(v.depth_m, w.depth_m);
                        ++shared;
                    }
        }
    EXPECT_GT(shared, 100U);
}
