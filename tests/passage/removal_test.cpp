// Nothing missing makes a result better: whatever is taken out of the demo's chart, no part of a route gets a
// better grade than before, but for what `Taken` says.
#include <gtest/gtest.h>

#include <functional>
#include <random>

#include "dangerline/chart/cell.hpp"
#include "dangerline/files/routes.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/passage/check.hpp"
#include "support/support.hpp"

using namespace dangerline;
using namespace dangerline::passage;
using hazard::Grade;

namespace {

const geo::Plane& plane() {
    static const geo::Plane p({-27.91, 46.05});
    return p;
}

/// Objects the demo does not have, in a row along a line of their own: every water level, with a depth and
/// without, and categories that change what an object is.
const std::vector<std::vector<std::pair<const char*, const char*>>> extras{
    {{"", "UWTROC"}, {"WATLEV", "4"}, {"VALSOU", "-1.5"}},
    {{"", "UWTROC"}, {"WATLEV", "5"}},
    {{"", "UWTROC"}, {"WATLEV", "3"}, {"VALSOU", "1.0"}},
    {{"", "UWTROC"}, {"WATLEV", "2"}, {"VALSOU", "4"}},
    {{"", "OBSTRN"}, {"WATLEV", "3"}, {"VALSOU", "2"}, {"CATOBS", "7"}},
    {{"", "OBSTRN"}, {"WATLEV", "3"}, {"CATOBS", "7"}},
    {{"", "OBSTRN"}, {"WATLEV", "7"}, {"VALSOU", "9"}},
    {{"", "OBSTRN"}, {"WATLEV", "6"}},
    {{"", "WRECKS"}, {"WATLEV", "1"}, {"VALSOU", "9"}},
    {{"", "WRECKS"}, {"WATLEV", "2"}, {"CATWRK", "4"}},
    {{"", "WRECKS"}, {"WATLEV", "3"}, {"CATWRK", "1"}},
    {{"", "MORFAC"}, {"WATLEV", "2"}, {"CATMOR", "5"}},
    {{"", "PILPNT"}},
    {{"", "WATTUR"}, {"CATWAT", "1"}},
    {{"", "SLCONS"}, {"WATLEV", "4"}, {"CATSLC", "1"}}};
const geo::Position row_from{-27.90, 46.035}, row_to{-27.84, 46.025};

void add_extras(chart::Cell& cell) {
    std::uint32_t number = 900'000;
    for (const auto& extra : extras) {
        auto& f = cell.features.emplace_back();
        f.cls = extra.front().second;
        f.id = {65534, ++number, 1};
        for (std::size_t i = 1; i < extra.size(); ++i)
            f.attributes.set(extra[i].first, extra[i].second);
        const double share = static_cast<double>(number - 900'000) / static_cast<double>(extras.size() + 1);
        f.geometry.primitive = chart::Primitive::point;
        f.geometry.points = {{row_from.lon_deg + share * (row_to.lon_deg - row_from.lon_deg),
                              row_from.lat_deg + share * (row_to.lat_deg - row_from.lat_deg)}};
    }
}

const chart::Cell& demo_cell() {
    static const chart::Cell cell = [] {
        Diagnostics said;
        auto read = chart::read_cell(
            chart::find_cells({support::testdata() / "demo" / "X14DEMO1.000"}).front(), said);
        add_extras(read);
        return read;
    }();
    return cell;
}

/// The demo's two routes, and lines over the bank, the pocket, the race, the restricted range and off the
/// chart.
const std::vector<Track>& tracks() {
    static const std::vector<Track> all = [] {
        Diagnostics said;
        std::vector<std::vector<geo::Position>> lines;
        for (const auto& drawn : files::read_routes(support::testdata() / "demo" / "routes.gpx", said))
            lines.push_back(drawn.places);
        lines.push_back({row_from, row_to});
        lines.push_back({{-27.86, 46.0660}, {-27.82, 46.0670}});
        lines.push_back({{-27.985, 46.0610}, {-27.93, 46.0585}, {-27.88, 46.0560}});
        lines.push_back({{-27.8585, 46.0700}, {-27.8585, 46.0850}});
        lines.push_back({{-27.95, 46.01}, {-27.95, 45.99}});
        std::vector<Track> out;
        for (const auto& places : lines) {
            Route r;
            r.places = places;
            r.half_widths_m.assign(places.size() - 1, 50.0);
            r.speeds_mps.assign(places.size() - 1, 12.0 * mps_per_knot);
            out.emplace_back(r, plane());
        }
        return out;
    }();
    return all;
}

std::vector<Check> check_all(chart::Cell cell, double tide_m) {
    Diagnostics said;
    chart::lay_out(cell, plane(), said);
    std::vector<chart::Cell> cells;
    cells.push_back(std::move(cell));
    const auto hazards = hazard::build(cells, said);
    Boat boat;
    boat.air_draught_m = 2.6;
    const tide::DatumChain datums{23, {{17, -5.7}}};
    const auto tide = tide::Curve::fixed(TideHeight::from_metres(tide_m), "");
    Conditions c{boat, Water::from_metres(2.2), {}, Tides::one(tide, datums), {}};
    c.sea = {0.4, 2.0, 0.1}; // so little that only the category of rough water matters
    std::vector<Check> out;
    for (const auto& track : tracks())
        out.push_back(check(track, Timetable(track, Instant::from_unix_seconds(1.78e9)), hazards, c));
    return out;
}

Grade grade_at(const Check& c, double s) {
    for (const auto& stretch : c.stretches)
        if (s >= stretch.span.from && s <= stretch.span.to)
            return stretch.marks.empty() ? Grade::none_found : stretch.marks.front().grade;
    ADD_FAILURE() << "no stretch at " << s;
    return Grade::none_found;
}

/// Without its WATLEV a charted depth is all that is left of an object that dries or floats, without its
/// CATWAT breakers count as overfalls: such a danger becomes a caution at any tide and any rate.
enum class Taken { what_decides, what_a_danger_is };

bool no_better(Grade before, Grade after, Taken taken) {
    if (before == Grade::danger)
        return after >= (taken == Taken::what_a_danger_is ? Grade::caution : Grade::unknown);
    return after >= before;
}

/// Expects that no middle of a graded stretch has a better grade after the change.
void expect_never_better(const std::vector<Check>& before, const std::vector<Check>& after,
                         const std::string& what, Taken taken = Taken::what_decides) {
    for (std::size_t i = 0; i < before.size(); ++i)
        for (const auto& stretch : before[i].stretches) {
            if (stretch.marks.empty() || stretch.span.to - stretch.span.from < 1.0)
                continue;
            const double s = (stretch.span.from + stretch.span.to) / 2.0;
            const Grade was = stretch.marks.front().grade, is = grade_at(after[i], s);
            EXPECT_TRUE(no_better(was, is, taken)) << what << ", line " << i << " at " << s << " m, was "
                                                   << hazard::to_text(was) << ", is " << hazard::to_text(is);
        }
}

bool is_skin_or_quality(const chart::Feature& f) {
    return chart::is_group_one(f.cls) || f.cls == "M_COVR" || f.cls == "M_QUAL";
}

} // namespace

TEST(Removal, of_an_attribute_everywhere_never_betters_a_stretch) {
    for (const double tide_m : {0.5, 2.5, 4.8}) {
        const auto before = check_all(demo_cell(), tide_m);
        for (const std::string name :
             {"VALSOU", "DRVAL1", "DRVAL2", "WATLEV", "CATWAT", "CATZOC", "SURSTA", "SUREND", "CATWRK",
              "CATOBS", "VERCLR", "CATSLC", "CATCOV", "EXPSOU", "TECSOU", "SORDAT"}) {
            chart::Cell spoiled = demo_cell();
            for (auto& f : spoiled.features)
                f.attributes.remove(name);
            expect_never_better(before, check_all(std::move(spoiled), tide_m),
                                name + " removed, tide " + std::to_string(tide_m),
                                name == "WATLEV" || name == "CATWAT" ? Taken::what_a_danger_is
                                                                     : Taken::what_decides);
        }
    }
}

TEST(Removal, of_an_attribute_of_one_object_never_betters_a_stretch) {
    std::mt19937 random(20260615);
    const auto before = check_all(demo_cell(), 1.5);
    const char* const names[] = {"VALSOU", "DRVAL1", "DRVAL2", "WATLEV", "CATWAT", "CATZOC"};
    for (int round = 0; round < 60; ++round) {
        chart::Cell spoiled = demo_cell();
        auto& f = spoiled.features[random() % spoiled.features.size()];
        for (const auto* name : names)
            f.attributes.remove(name);
        const std::string what = f.cls + " " + to_text(f.id) + " emptied";
        expect_never_better(before, check_all(std::move(spoiled), 1.5), what, Taken::what_a_danger_is);
    }
}

TEST(Removal, of_an_area_of_the_skin_of_the_coverage_or_of_quality_never_betters_a_stretch) {
    const auto before = check_all(demo_cell(), 1.5);
    for (std::size_t i = 0; i < demo_cell().features.size(); ++i) {
        if (!is_skin_or_quality(demo_cell().features[i]))
            continue;
        chart::Cell spoiled = demo_cell();
        const std::string what = spoiled.features[i].cls + " " + to_text(spoiled.features[i].id) + " removed";
        spoiled.features.erase(spoiled.features.begin() + static_cast<std::ptrdiff_t>(i));
        expect_never_better(before, check_all(std::move(spoiled), 1.5), what);
    }
}

TEST(Removal, of_a_place_never_betters_a_stretch) {
    const auto before = check_all(demo_cell(), 1.5);
    for (std::size_t i = 0; i < demo_cell().features.size(); ++i) {
        chart::Cell spoiled = demo_cell();
        auto& f = spoiled.features[i];
        if (f.cls.starts_with("M_") || f.cls == "LIGHTS" || f.cls == "SBDARE" || f.cls == "DEPCNT")
            continue;
        f.geometry = {};
        f.broken_geometry = true;
        const std::string what = f.cls + " " + to_text(f.id) + " without a place";
        expect_never_better(before, check_all(std::move(spoiled), 1.5), what);
    }
}

TEST(Removal, a_crossed_ring_never_betters_a_stretch_and_is_said) {
    const auto before = check_all(demo_cell(), 1.5);
    for (std::size_t i = 0; i < demo_cell().features.size(); ++i) {
        chart::Cell spoiled = demo_cell();
        auto& f = spoiled.features[i];
        if (!chart::is_group_one(f.cls) || f.geometry.polygons.empty() ||
            f.geometry.polygons[0][0].size() < 8)
            continue;
        auto& ring = f.geometry.polygons[0][0];
        std::swap(ring[1], ring[ring.size() / 2]);
        Diagnostics said;
        chart::Cell laid = spoiled;
        chart::lay_out(laid, plane(), said);
        EXPECT_TRUE(std::any_of(said.begin(), said.end(),
                                [](const Diagnostic& d) { return d.severity == Severity::broken; }));
        expect_never_better(before, check_all(std::move(spoiled), 1.5), f.cls + " with a crossed ring");
    }
}

TEST(Removal, a_worse_zone_never_betters_a_stretch_and_never_removes_a_danger) {
    const auto before = check_all(demo_cell(), 1.5);
    for (const char* worse : {"4", "5", "6"}) {
        chart::Cell spoiled = demo_cell();
        for (auto& f : spoiled.features)
            if (f.cls == "M_QUAL")
                f.attributes.set("CATZOC", worse);
        const auto after = check_all(std::move(spoiled), 1.5);
        expect_never_better(before, after, std::string("CATZOC ") + worse);
        for (std::size_t i = 0; i < before.size(); ++i)
            EXPECT_GE(after[i].worst, before[i].worst);
    }
}
