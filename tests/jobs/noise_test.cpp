// A tool that shouts everywhere is not heard: how many different things a real cell makes it say.
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <optional>
#include <random>
#include <set>
#include <tuple>

#include "dangerline/chart/precedence.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/passage/check.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::passage;
using hazard::Cause;
using hazard::Grade;

namespace {

constexpr double required_m = 2.4; // 0.6 draught, 0.3 squat, 1.0 under the keel, 0.5 waves
constexpr double shoal_m = 5.0;

/// Shoaler than 5 m, land, not surveyed, or nobody knows.
bool is_shoal(const chart::Feature& f) {
    if (!chart::is_group_one(f.cls) || !f.shape)
        return false;
    return f.cls == "LNDARE" || f.cls == "UNSARE" || f.attributes.number("DRVAL1").value_or(-99.0) < shoal_m;
}

/// Straight routes of 3 to 6 NM between soundings, all of them over charted depths of 5 m or more.
std::vector<Route> routes_over_deep_water(const chart::Cell& cell, const geo::Plane& plane,
                                          std::size_t wanted) {
    std::vector<geo::Point> places;
    std::vector<const geo::Shape*> shoals;
    for (const auto& f : cell.features) {
        if (f.cls == "SOUNDG")
            places.insert(places.end(), f.shape->points().begin(), f.shape->points().end());
        if (is_shoal(f))
            shoals.push_back(f.shape.get());
    }
    const geo::Shape cover = geo::to_shape(cell.coverage);
    std::mt19937 random(20);
    std::vector<Route> routes;
    for (int tries = 0; routes.size() < wanted && tries < 1'000'000; ++tries) {
        const geo::Leg leg{places[random() % places.size()], places[random() % places.size()]};
        const double miles = leg.length() / metres_per_nautical_mile;
        if (miles < 3.0 || miles > 6.0 || !cover.contains(leg.from) || !cover.contains(leg.to))
            continue;
        const geo::Box box{std::min(leg.from.x, leg.to.x), std::min(leg.from.y, leg.to.y),
                           std::max(leg.from.x, leg.to.x), std::max(leg.from.y, leg.to.y)};
        if (std::any_of(shoals.begin(), shoals.end(), [&](const geo::Shape* s) {
                return s->box().meets(box) && !geo::reach(leg, *s, 0.0).empty();
            }))
            continue;
        Route r;
        r.places = {plane.to_position(leg.from), plane.to_position(leg.to)};
        r.half_widths_m = {default_half_width_m};
        r.speeds_mps = {12.0 * mps_per_knot};
        r.shore_start_m = r.shore_end_m = 0.0;
        routes.push_back(std::move(r));
    }
    return routes;
}

Check checked(const Route& route, const geo::Plane& plane, const hazard::Hazards& hazards, int datum) {
    const Track track(route, plane);
    const Conditions conditions{{},
                                Water::from_metres(required_m),
                                {},
                                Tides::one(tide::Curve::fixed(TideHeight::from_metres(0.5), ""), {datum, {}}),
                                {}};
    return check(track, Timetable(track, Instant::from_unix_seconds(1.78e9)), hazards, conditions);
}

using Said = std::tuple<Grade, Cause, std::string>;

Said said(const Finding& f) {
    return {f.grade, f.cause, f.object.lnam.empty() ? f.what : f.object.lnam};
}

std::set<Said> different(const Check& c) {
    std::set<Said> out;
    for (const auto& f : c.findings)
        if (f.grade != Grade::note)
            out.insert(said(f));
    return out;
}

struct Laid {
    std::vector<chart::Cell> cells;
    geo::Plane plane{{0.0, 0.0}};
    std::vector<Route> routes;
};

hazard::Hazards built(const Laid& laid, bool trusting) {
    hazard::BuildSettings settings;
    std::vector<geo::Box> boxes;
    for (const auto& route : laid.routes) {
        const geo::Point a = laid.plane.to_plane(route.places[0]), b = laid.plane.to_plane(route.places[1]);
        boxes.push_back(
            geo::Box{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)}.grown(
                1000.0));
    }
    settings.bottom = hazard::BottomWindow{std::move(boxes), 0, 60};
    if (!trusting)
        settings.trust.emplace().as_of = CalendarDay{2026, 6, 16};
    Diagnostics diagnostics;
    return hazard::build(laid.cells, diagnostics, settings);
}

/// The real cell, all of its zones of one CATZOC where one is given.
Laid real_cell(const std::filesystem::path& folder, std::optional<int> catzoc) {
    Diagnostics diagnostics;
    Laid laid;
    laid.cells.push_back(chart::read_cell(chart::find_cells({folder}).front(), diagnostics));
    if (catzoc)
        for (auto& f : laid.cells.front().features)
            if (f.cls == "M_QUAL")
                f.attributes.set_number("CATZOC", *catzoc);
    laid.plane = geo::Plane(*chart::middle_of(laid.cells.front()));
    chart::lay_out(laid.cells.front(), laid.plane, diagnostics);
    laid.routes = routes_over_deep_water(laid.cells.front(), laid.plane, 20);
    return laid;
}

/// Every hazard with its own survey doubt, as without one line a zone.
hazard::Hazards unfolded(hazard::Hazards hazards) {
    for (auto& h : hazards.all)
        h.between = false;
    return hazards;
}

/// Different findings of each route, ascending. One survey line a zone, and no danger and no margin lost to
/// folding or to old surveys.
std::vector<std::size_t> counted(const Laid& laid) {
    const auto hazards = built(laid, false);
    const auto as_charted = built(laid, true), each = unfolded(hazards);
    const int datum = laid.cells.front().header.sdat;
    std::vector<std::size_t> counts;
    for (const auto& route : laid.routes) {
        const Check c = checked(route, laid.plane, hazards, datum);
        const auto all = different(c);
        counts.push_back(all.size());
        std::set<std::string> zones;
        for (const auto& f : c.findings)
            if (f.kind == hazard::Kind::survey && f.object.cls == "M_QUAL") {
                EXPECT_TRUE(zones.insert(f.object.lnam).second) << f.reason;
            }
        for (const auto* others : {&as_charted, &each})
            for (const auto& [grade, cause, object] : different(checked(route, laid.plane, *others, datum)))
                if (grade == Grade::danger || cause == Cause::margin) {
                    EXPECT_TRUE(all.contains({grade, cause, object})) << object;
                }
    }
    std::sort(counts.begin(), counts.end());
    return counts;
}

} // namespace

TEST(Noise, a_route_over_deep_water_of_a_real_cell_has_few_findings) {
    SKIP_WITHOUT_REAL_CELLS(folder);
    const auto laid = real_cell(*folder, {});
    ASSERT_EQ(laid.routes.size(), 20U);
    const auto counts = counted(laid);
    const double median = static_cast<double>(counts[9] + counts[10]) / 2.0;
    std::printf("different findings a route: median %.1f, from %zu to %zu\n", median, counts.front(),
                counts.back());
    EXPECT_LE(median, 5.0);
}

TEST(Noise, a_chart_of_sparse_surveys_has_one_line_a_zone) {
    SKIP_WITHOUT_REAL_CELLS(folder);
    const auto laid = real_cell(*folder, 4);
    const auto counts = counted(laid);
    std::printf("all CATZOC C: median %zu, from %zu to %zu\n", counts[10], counts.front(), counts.back());
}
