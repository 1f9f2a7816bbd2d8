// Cells of different scale: who rules where, what the coarser one keeps.
#include "dangerline/chart/precedence.hpp"
#include "dangerline/geo/regions.hpp"

#include "cellwriter/cellwriter.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <optional>

using namespace dangerline;
using namespace dangerline::chart;
using cellwriter::CellDraft;
using cellwriter::Ring;

namespace {

const geo::Plane& plane() {
    static const geo::Plane one({-28, 46});
    return one;
}

Cell laid(const CellDraft& draft, const std::string& name) {
    const support::TemporaryFolder folder;
    CellDraft named = draft;
    named.header.dsnm = name + ".000";
    Diagnostics said;
    Cell cell = read_cell(find_cells({folder.file(name + ".000", named.bytes())}).at(0), said);
    lay_out(cell, plane(), said);
    return cell;
}

Ring box(double west, double south, double east, double north) {
    return {{west, south}, {east, south}, {east, north}, {west, north}};
}

CellDraft cover(std::uint32_t scale, const Ring& where) {
    CellDraft draft;
    draft.header.cscl = scale;
    draft.add_area("M_COVR", {where}, {{"CATCOV", "1"}});
    draft.add_area("DEPARE", {where}, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    return draft;
}

/// From 28 W to 27.9 W with something of every kind on both sides of 27.95 W.
CellDraft coarse_draft(std::uint32_t scale = 90'000) {
    CellDraft d = cover(scale, box(-28, 46, -27.9, 46.05));
    d.add_area("M_QUAL", {box(-28, 46, -27.9, 46.05)}, {{"CATZOC", "4"}});
    d.add_point("WRECKS", {-27.98, 46.02}, {{"VALSOU", "3"}});
    d.add_point("WRECKS", {-27.92, 46.02}, {{"VALSOU", "3"}});
    d.add_soundings({{{-27.98, 46.03}, 3.0}, {{-27.92, 46.03}, 4.0}, {{-27.97, 46.03}, 3.5}});
    d.add_line("DEPCNT", {{-27.99, 46.01}, {-27.91, 46.01}}, {{"VALDCO", "5"}});
    d.add_line("OBSTRN", {{-27.99, 46.04}, {-27.91, 46.04}}, {{"VALSOU", "1"}, {"WATLEV", "3"}});
    d.add_area("SNDWAV", {box(-27.96, 46.01, -27.94, 46.02)});
    return d;
}
const Ring west_half = box(-28, 46, -27.95, 46.05);

std::vector<const Feature*> all(const Cell& cell, const std::string& cls, bool under) {
    std::vector<const Feature*> found;
    for (const auto& f : cell.features)
        if (f.cls == cls && f.under_better == under)
            found.push_back(&f);
    return found;
}

double area(const Feature& f) {
    return geo::area_of(geo::polygons_of(*f.shape));
}

double metres(const Feature& f) {
    double sum = 0.0;
    for (std::size_t i = 0; i < f.shape->part_count(); ++i)
        for (std::size_t k = 1; k < f.shape->part(i).size(); ++k)
            sum += std::hypot(f.shape->part(i)[k].x - f.shape->part(i)[k - 1].x,
                              f.shape->part(i)[k].y - f.shape->part(i)[k - 1].y);
    return sum;
}

/// Long edges are cut where they would bend by 0.1 m, at other places in each cell: so much may lie between
/// two cells along the 25 km of edges drawn here.
constexpr double between_m2 = 0.1 * 25'000.0;

double covered(const std::vector<Cell>& cells) {
    double sum = 0.0;
    for (const auto& cell : cells)
        sum += geo::area_of(cell.coverage);
    return sum;
}

} // namespace

TEST(Precedence, TheCoarserCellGivesUpWhatItMustAndKeepsItsObjects) {
    std::vector<Cell> cells{laid(coarse_draft(), "X14COAR1"), laid(cover(20'000, west_half), "X14FINE1")};
    const double whole = geo::area_of(cells[0].coverage);
    settle_scales(cells);
    const Cell& coarse = cells[0];
    EXPECT_NEAR(geo::area_of(coarse.coverage), whole / 2.0, 0.001 * whole);
    EXPECT_NEAR(covered(cells), whole, between_m2);
    ASSERT_EQ(all(coarse, "DEPARE", false).size(), 1U);
    EXPECT_NEAR(area(*all(coarse, "DEPARE", false)[0]), whole / 2.0, 0.001 * whole);
    EXPECT_TRUE(all(coarse, "DEPARE", true).empty());
    EXPECT_EQ(all(coarse, "WRECKS", false).size(), 1U);
    EXPECT_EQ(all(coarse, "WRECKS", true).size(), 1U);
    EXPECT_EQ(all(coarse, "WRECKS", true)[0]->attributes.number("VALSOU"), 3.0);
    const Feature& soundings = *all(coarse, "SOUNDG", false).at(0);
    EXPECT_EQ(soundings.geometry.depths_m, (std::vector<double>{4.0}));
    EXPECT_EQ(soundings.geometry.points.size(), 1U);
    EXPECT_EQ(soundings.shape->points().size(), 1U);
    EXPECT_TRUE(all(coarse, "SOUNDG", true).empty());
    EXPECT_TRUE(all(coarse, "DEPCNT", true).empty());
    // 0.04 degrees of longitude at 46.01 N: 3097 m (77 451 m a degree, from memory)
    EXPECT_NEAR(metres(*all(coarse, "DEPCNT", false).at(0)), 0.04 * 77'451.0, 5.0);
    EXPECT_NEAR(metres(*all(coarse, "OBSTRN", false).at(0)), 0.04 * 77'410.0, 5.0);
    EXPECT_NEAR(metres(*all(coarse, "OBSTRN", true).at(0)), 0.04 * 77'410.0, 5.0);
    EXPECT_NEAR(area(*all(coarse, "SNDWAV", true).at(0)), area(*all(coarse, "SNDWAV", false).at(0)), 500.0);
    EXPECT_EQ(all(coarse, "M_QUAL", true).size(), 1U);
    EXPECT_EQ(all(coarse, "M_COVR", false).size(), 1U);
    for (const auto& f : cells[1].features)
        EXPECT_FALSE(f.under_better);
    EXPECT_EQ(cells[1].features.size(), 2U);
}

TEST(Precedence, LandGoesAsAnAreaAndStaysAsAPoint) {
    CellDraft d = coarse_draft();
    d.add_area("LNDARE", {box(-27.99, 46.001, -27.98, 46.005)});
    d.add_point("LNDARE", {-27.97, 46.001});
    std::vector<Cell> cells{laid(d, "X14COAR1"), laid(cover(20'000, west_half), "X14FINE1")};
    EXPECT_GT(cells[0].gaps.part_count(), 0U); // the land overlaps the depth area
    settle_scales(cells);
    EXPECT_TRUE(all(cells[0], "LNDARE", false).empty());
    ASSERT_EQ(all(cells[0], "LNDARE", true).size(), 1U);
    EXPECT_EQ(all(cells[0], "LNDARE", true)[0]->geometry.primitive, Primitive::point);
    EXPECT_TRUE(cells[0].gaps.empty());
}

TEST(Precedence, CategoryTwoFallsThroughToTheNextScale) {
    CellDraft fine = cover(20'000, west_half);
    fine.add_area("M_COVR", {box(-27.99, 46.01, -27.97, 46.03)}, {{"CATCOV", "2"}}); // the wreck lies here
    std::vector<Cell> cells{laid(coarse_draft(), "X14COAR1"), laid(fine, "X14FINE1")};
    const double whole = geo::area_of(cells[0].coverage);
    settle_scales(cells);
    EXPECT_EQ(all(cells[0], "WRECKS", false).size(), 2U);
    EXPECT_TRUE(all(cells[0], "WRECKS", true).empty());
    EXPECT_NEAR(covered(cells), whole, between_m2);
}

TEST(Precedence, ThreeScalesShareTheWaterWithoutRemainder) {
    std::vector<Cell> cells{laid(cover(20'000, box(-28, 46, -27.97, 46.05)), "X14FINE1"),
                            laid(coarse_draft(180'000), "X14COAR1"),
                            laid(cover(50'000, west_half), "X14MIDD1")};
    const double whole = geo::area_of(cells[1].coverage);
    settle_scales(cells);
    EXPECT_NEAR(covered(cells), whole, between_m2);
    EXPECT_NEAR(geo::area_of(cells[2].coverage), 0.2 * whole, 0.001 * whole);
    EXPECT_NEAR(geo::area_of(cells[1].coverage), 0.5 * whole, 0.001 * whole);
}

TEST(Precedence, WhoHidesNothing) {
    const auto untouched = [](const Cell& other) {
        std::vector<Cell> cells{laid(coarse_draft(), "X14COAR1"), other};
        const std::size_t before = cells[0].features.size();
        const double whole = geo::area_of(cells[0].coverage);
        settle_scales(cells);
        return cells[0].features.size() == before && geo::area_of(cells[0].coverage) == whole &&
               all(cells[0], "SOUNDG", false).at(0)->shape->points().size() == 3;
    };
    EXPECT_FALSE(untouched(laid(cover(20'000, west_half), "X14FINE1")));
    EXPECT_TRUE(untouched(laid(cover(90'000, west_half), "X14SAME1")));
    EXPECT_TRUE(untouched(laid(cover(0, west_half), "X14NONE1")));
    CellDraft uncovered = cover(20'000, west_half);
    uncovered.features.pop_front();
    EXPECT_TRUE(untouched(laid(uncovered, "X14BARE1")));
    CellDraft withdrawn = cover(20'000, west_half);
    withdrawn.header.edition = 0;
    EXPECT_TRUE(untouched(laid(withdrawn, "X14GONE1")));
    // and a cell without scale gives up nothing
    std::vector<Cell> cells{laid(coarse_draft(0), "X14COAR1"), laid(cover(20'000, west_half), "X14FINE1")};
    settle_scales(cells);
    EXPECT_EQ(all(cells[0], "WRECKS", false).size(), 2U);
    // nor do notes
    std::vector<Cell> notes{laid(coarse_draft(), "X14COAR1"), laid(cover(20'000, west_half), "X14FINE1")};
    notes[0].notes = true;
    settle_scales(notes);
    EXPECT_EQ(all(notes[0], "WRECKS", false).size(), 2U);
    EXPECT_EQ(all(notes[0], "SOUNDG", false).at(0)->shape->points().size(), 3U);
}

TEST(Precedence, WhereTwoFineCellsMeetChangesNothing) {
    std::optional<double> under, own;
    for (const double seam : {-27.99, -27.98, -27.975, -27.96, -27.9512345}) {
        std::vector<Cell> cells{laid(coarse_draft(), "X14COAR1"),
                                laid(cover(20'000, box(-28, 46, seam, 46.05)), "X14WEST1"),
                                laid(cover(20'000, box(seam, 46, -27.95, 46.05)), "X14EAST1")};
        settle_scales(cells);
        EXPECT_EQ(all(cells[0], "WRECKS", true).size(), 1U) << seam;
        EXPECT_EQ(all(cells[0], "WRECKS", false).size(), 1U) << seam;
        EXPECT_EQ(all(cells[0], "SOUNDG", false).at(0)->shape->points().size(), 1U) << seam;
        EXPECT_NEAR(metres(*all(cells[0], "OBSTRN", true).at(0)), under.value_or(3097.0), 5.0) << seam;
        under = metres(*all(cells[0], "OBSTRN", true).at(0));
        EXPECT_NEAR(area(*all(cells[0], "DEPARE", false).at(0)),
                    own.value_or(area(*all(cells[0], "DEPARE", false).at(0))), between_m2)
            << seam;
        own = area(*all(cells[0], "DEPARE", false).at(0));
        EXPECT_EQ(all(cells[0], "DEPARE", false).at(0)->shape->part_count(), 1U) << seam; // no slit is left
    }
}

TEST(Precedence, TooSmallInScaleNearLand) {
    CellDraft d = cover(150'000, box(-28.2, 45.9, -27.8, 46.1));
    d.add_point("LNDARE", {-28, 46});
    std::vector<Cell> cells{laid(d, "X14COAR1")};
    for (const auto& window : {std::optional<geo::Box>(), std::optional(geo::Box{-100, 4000, 100, 4100})}) {
        const auto found = too_small_in_scale(cells, window);
        ASSERT_EQ(found.size(), 1U);
        EXPECT_EQ(found[0].cell, 0U);
        EXPECT_TRUE(found[0].where->contains({0, 5556}));
        EXPECT_TRUE(found[0].where->contains({-5556, 0}));
        EXPECT_FALSE(found[0].where->contains({0, 5779}));
    }
    EXPECT_TRUE(too_small_in_scale(cells, geo::Box{-100, 20'000, 100, 20'100}).empty());
    d.header.cscl = 100'000;
    EXPECT_TRUE(too_small_in_scale({laid(d, "X14COAR1")}).empty());
    d.header.cscl = 0;
    EXPECT_EQ(too_small_in_scale({laid(d, "X14COAR1")}).size(), 1U);
    // where a better cell rules, the coarse one's scale does not matter
    std::vector<Cell> two{cells[0], laid(cover(20'000, box(-28.1, 45.94, -27.9, 46.06)), "X14FINE1")};
    settle_scales(two);
    EXPECT_TRUE(too_small_in_scale(two).empty());
}
