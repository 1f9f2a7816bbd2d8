// Charts of one scale that part the water between them, charts of several scales, datum areas: from made
// cells to findings.
#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <tuple>

#include "dangerline/base/error.hpp"
#include "passage/made_cells.hpp"

using namespace dangerline;
using namespace dangerline::passage;
using namespace made_cells;
using hazard::Cause;
using hazard::Grade;
using hazard::Kind;

namespace {

/// What a finding comes to, whichever cell it is from; lengths to a metre.
using Line = std::tuple<std::string, std::string, Grade, Cause, Kind, long, long, long, long, long>;

std::vector<Line> lines_of(const Check& c) {
    const auto cm = [](const std::optional<double>& v) {
        return v && std::isfinite(*v) ? std::lround(*v * 100.0) : v ? 99'999L : -99'999L;
    };
    std::vector<Line> out;
    for (const auto& f : c.findings)
        out.emplace_back(f.object.cls, f.object.lnam, f.grade, f.cause, f.kind, cm(f.spare_m),
                         cm(f.spare_doubt_m), std::lround(f.span.from / 2.0), std::lround(f.span.to / 2.0),
                         std::lround(f.length_m / 2.0));
    return out;
}

/// A stretch of water between two meridians (metres east); what lies in it is cut at them, as producers do.
struct Piece {
    double west, east;
    bool meets(double from, double to) const { return std::max(west, from) < std::min(east, to); }
    bool holds(double x) const { return x >= west && x < east; }
};

/// Bands from south to north: 5 to 10 m, 2 to 5 m with soundings, 0 to 2 m, drying, land; in the middle of
/// the second a shoal of 0 to 2 m; wrecks, an obstruction, overfalls, one quality zone and water without.
CellDraft coast(const Piece& piece) {
    CellDraft d;
    d.header.cscl = 10'000;
    std::uint32_t number = 100;
    const auto strip = [&](const char* cls, double from, double south, double to, double north,
                           cellwriter::Attributes attributes, std::vector<Ring> holes = {}) {
        ++number;
        if (!piece.meets(from, to))
            return;
        std::vector<Ring> rings{box(std::max(piece.west, from), south, std::min(piece.east, to), north)};
        rings.insert(rings.end(), holes.begin(), holes.end());
        d.add_area(cls, rings, std::move(attributes)).fidn = number;
    };
    d.add_area("M_COVR", {box(piece.west, -3000, piece.east, 3000)}, {{"CATCOV", "1"}});
    strip("DEPARE", -3000, -3000, 3000, -1000, {{"DRVAL1", "5"}, {"DRVAL2", "10"}});
    // The shoal lies in a strip of its own, so that no area has a hole that the line could cut.
    strip("DEPARE", -3000, -1000, -400, 500, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    strip("DEPARE", -400, -1000, 600, -200, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    strip("DEPARE", -400, -200, 600, 200, {{"DRVAL1", "0"}, {"DRVAL2", "2"}});
    strip("DEPARE", -400, 200, 600, 500, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    strip("DEPARE", 600, -1000, 3000, 500, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    strip("DEPARE", -3000, 500, 3000, 1500, {{"DRVAL1", "-2"}, {"DRVAL2", "2"}});
    strip("LNDARE", -3000, 1500, 3000, 3000, {});
    strip("OBSTRN", -1800, -60, -1400, 40, {{"VALSOU", "0.5"}, {"WATLEV", "3"}});
    strip("WATTUR", 1500, -200, 1900, 300, {{"CATWAT", "3"}});
    strip("M_QUAL", -3000, -3000, 1000, 3000, {{"CATZOC", "2"}, {"SUREND", "2019"}, {"SURSTA", "2018"}});
    std::map<int, std::vector<cellwriter::Sounding>> groups;
    int k = 0;
    for (double x = -2950; x < 3000; x += 100)
        for (double y = -950; y < 450; y += 100, ++k) {
            const bool shoal = x > -400 && x < 600 && y > -200 && y < 200;
            // Never on a line that parts: those stand at whole 10 m, these at 50 and a little.
            if (piece.holds(x + 1.5))
                groups[k % 3].push_back({at(x + 1.5, y), (shoal ? 8 + k % 9 : 25 + (k * 7) % 20) / 10.0});
        }
    for (int g = 0; g < 3; ++g) {
        ++number;
        if (!groups[g].empty())
            d.add_soundings(groups[g]).fidn = number;
    }
    for (const double x : {-2000.0, -1200.0, 1200.0}) {
        ++number;
        if (piece.holds(x))
            d.add_point("WRECKS", at(x, 30), {{"VALSOU", "1.0"}, {"WATLEV", "3"}, {"CATWRK", "2"}}).fidn =
                number;
    }
    return d;
}

} // namespace

TEST(SeamsAlongARoute, where_the_split_line_runs_changes_no_finding) {
    const std::vector<chart::Cell> whole{laid(coast({-3000, 3000}), "X14WHOL1")};
    for (const double tide_m : {0.2, 1.0, 2.5})
        for (const double y : {0.0, -600.0, 450.0})
            for (const bool with_bottom : {true, false}) {
                const Asked asked{.tide_m = tide_m, .datums = {23, {}}, .y = y, .with_bottom = with_bottom};
                const auto expected = lines_of(run(whole, asked));
                EXPECT_FALSE(expected.empty() && tide_m < 2.0);
                for (const double seam : {0.0, 137.0, -400.0, -1600.0, 1700.0}) {
                    const auto split =
                        run({laid(coast({-3000, seam}), "X14WEST1"), laid(coast({seam, 3000}), "X14EAST1")},
                            asked);
                    EXPECT_EQ(lines_of(split), expected) << "tide " << tide_m << ", y " << y << ", seam "
                                                         << seam << ", bottom " << with_bottom;
                }
            }
}

// The coarse chart says 0 to 1 m everywhere. Required 1.4 m, tide 0.3 m: 1.3 m of water, danger where it
// rules.
TEST(Scales, the_better_chart_decides_and_what_is_left_of_the_coarser_goes_on_beside_it) {
    const auto coarse = laid(sheet(50'000, -3000, 3000, "0", "1"), "X13TEST1");
    const auto fine = laid(sheet(10'000, -500, 3000, "10", "20"), "X14TEST1");
    const Check c = run({coarse, fine}, {.tide_m = 0.3});
    const auto areas = of_class(c, "DEPARE");
    ASSERT_EQ(areas.size(), 1U);
    EXPECT_EQ(areas[0]->grade, Grade::danger);
    EXPECT_EQ(areas[0]->object.cell, "X13TEST1");
    // From the beginning to 500 m west of the middle, and 50 m of corridor.
    EXPECT_NEAR(areas[0]->span.to, 2000.0 + 50.0, 3.0);
    EXPECT_EQ(c.tested.not_covered_m, 0.0);
    EXPECT_EQ(c.findings.size() - of_class(c, "M_QUAL").size(), 1U);
    // The same two the other way round, and three of two scales.
    EXPECT_EQ(lines_of(run({fine, coarse}, {.tide_m = 0.3})), lines_of(c));
    const Check three = run({laid(sheet(10'000, -500, 1000, "10", "20"), "X14TEST1"), coarse,
                             laid(sheet(10'000, 1000, 3000, "10", "20"), "X14TEST2")},
                            {.tide_m = 0.3});
    EXPECT_EQ(lines_of(three), lines_of(c));
}

// A rock that dries 0.4 m, on both charts 20 m apart, which is within 0.5 mm at 1:50,000.
TEST(Scales, a_rock_on_two_charts_is_one_danger) {
    const cellwriter::Attributes rock{{"VALSOU", "-0.4"}, {"WATLEV", "4"}};
    auto coarse = sheet(50'000, -3000, 3000, "10", "20");
    auto fine = sheet(10'000, -500, 3000, "10", "20");
    coarse.add_point("UWTROC", at(1020, 10), rock).fidn = 7001;
    fine.add_point("UWTROC", at(1000, 10), rock).fidn = 8001;
    const Check c = run({laid(coarse, "X13TEST1"), laid(fine, "X14TEST1")}, {});
    const auto rocks = of_class(c, "UWTROC");
    ASSERT_EQ(rocks.size(), 2U);
    EXPECT_EQ(rocks[0]->grade, Grade::danger);
    EXPECT_EQ(rocks[0]->object.cell, "X14TEST1");
    EXPECT_EQ(rocks[1]->grade, Grade::note);
    // On the coarse chart only it is a caution where the better one rules, a danger where it does not.
    fine.features.pop_back();
    const Check hidden = run({laid(coarse, "X13TEST1"), laid(fine, "X14TEST1")}, {});
    ASSERT_EQ(of_class(hidden, "UWTROC").size(), 1U);
    EXPECT_EQ(of_class(hidden, "UWTROC")[0]->grade, Grade::caution);
    EXPECT_EQ(of_class(hidden, "UWTROC")[0]->cause, Cause::survey);
    coarse.features.back().parts = {{at(-1500, 10)}};
    const Check outside = run({laid(coarse, "X13TEST1"), laid(fine, "X14TEST1")}, {});
    EXPECT_EQ(of_class(outside, "UWTROC")[0]->grade, Grade::danger);
}

// The fine cell states that it covers nothing from x = 0 to 1000 (CATCOV 2); no depth of it lies there.
TEST(Scales, where_the_better_chart_covers_nothing_the_next_rules) {
    CellDraft fine;
    fine.header.cscl = 10'000;
    fine.add_area("M_COVR", {box(-3000, -3000, 0, 3000)}, {{"CATCOV", "1"}});
    fine.add_area("M_COVR", {box(1000, -3000, 3000, 3000)}, {{"CATCOV", "1"}});
    fine.add_area("M_COVR", {box(0, -3000, 1000, 3000)}, {{"CATCOV", "2"}});
    for (const auto& [west, east] : {std::pair{-3000.0, 0.0}, std::pair{1000.0, 3000.0}}) {
        fine.add_area("DEPARE", {box(west, -3000, east, 3000)}, {{"DRVAL1", "10"}, {"DRVAL2", "20"}});
        fine.add_area("M_QUAL", {box(west, -3000, east, 3000)}, {{"CATZOC", "1"}});
    }
    const auto cell = laid(fine, "X14TEST1");
    const Check alone = run({cell}, {.tide_m = 0.3});
    EXPECT_EQ(alone.worst, Grade::unknown);
    EXPECT_NEAR(alone.tested.not_covered_m, 1000.0, 3.0);
    const Check both = run({cell, laid(sheet(50'000, -3000, 3000, "0", "1"), "X13TEST1")}, {.tide_m = 0.3});
    EXPECT_EQ(both.tested.not_covered_m, 0.0);
    const auto areas = of_class(both, "DEPARE");
    ASSERT_EQ(areas.size(), 1U);
    EXPECT_EQ(areas[0]->grade, Grade::danger);
    EXPECT_NEAR(areas[0]->length_m, 1000.0 + 2.0 * 50.0, 4.0);
    // Another coarse sheet of deep water: nothing is found, nothing unknown.
    const Check deep = run({cell, laid(sheet(50'000, -3000, 3000, "10", "20"), "X13TEST1")}, {.tide_m = 0.3});
    EXPECT_TRUE(deep.findings.empty());
}

// East of x = 0 depths are above datum 12, which lies 1.0 m above 23: a tide of 2.0 m above 23 is 1.0 m
// there. Wrecks of 0.0 m either side: water 2.0 m carries the boat (1.4 m), 1.0 m does not. An area of 0.2 m
// over the edge is danger on its eastern half alone: 2.2 and 1.2 m.
TEST(DatumAreasAlongARoute, each_side_of_the_edge_has_its_own_tide) {
    auto d = sheet(10'000, -3000, 3000, "10", "20");
    d.add_area("M_SDAT", {box(0, -3000, 3000, 3000)}, {{"VERDAT", "12"}});
    for (const double x : {-1500.0, 1500.0})
        d.add_point("WRECKS", at(x, 10), {{"VALSOU", "0.0"}, {"WATLEV", "3"}});
    d.add_area("OBSTRN", {box(-300, -100, 300, 100)}, {{"VALSOU", "0.2"}, {"WATLEV", "3"}});
    d.add_soundings({{at(-900, 10), 0.1}, {at(900, 10), 0.1}});
    const auto cell = laid(d, "X14TEST1");
    const Check c = run({cell}, {.tide_m = 2.0, .datums = {23, {{12, -1.0}}}});
    std::map<std::string, int> dangers;
    for (const auto& f : c.findings) {
        if (f.grade != Grade::danger)
            continue;
        ++dangers[f.object.cls];
        EXPECT_NEAR(*f.tide_m, 1.0, 1e-9);
        EXPECT_GT(f.span.from, 2500.0 - 51.0) << f.reason;
    }
    EXPECT_EQ(dangers, (std::map<std::string, int>{{"OBSTRN", 1}, {"SOUNDG", 1}, {"WRECKS", 1}}));
    // A datum nobody linked is refused, not guessed.
    EXPECT_THROW(run({cell}, {.tide_m = 2.0}), Failure);
}

TEST(Scales, a_chart_too_small_in_scale_near_land_is_said_along_the_route) {
    auto d = sheet(180'000, -3000, 3000, "10", "20");
    d.add_line("COALNE", {at(-3000, 2900), at(3000, 2900)});
    const Check c = run({laid(d, "X12TEST1")}, {});
    ASSERT_EQ(c.findings.size(), 1U);
    EXPECT_EQ(c.findings[0].kind, Kind::survey);
    EXPECT_EQ(c.findings[0].grade, Grade::caution);
    EXPECT_EQ(c.findings[0].cause, Cause::survey);
    EXPECT_EQ(c.findings[0].what, "chart too small in scale here");
    EXPECT_NEAR(c.findings[0].length_m, 5000.0, 1.0);
    // Two halves of it say it once.
    const auto half = [](double west, double east) {
        auto part = sheet(180'000, west, east, "10", "20");
        part.add_line("COALNE", {at(west, 2900), at(east, 2900)});
        return part;
    };
    EXPECT_EQ(run({laid(half(-3000, 0), "X12WEST1"), laid(half(0, 3000), "X12EAST1")}, {}).findings.size(),
              1U);
    d.header.cscl = 90'000;
    EXPECT_TRUE(run({laid(d, "X12TEST1")}, {}).findings.empty());
}
