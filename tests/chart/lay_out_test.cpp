// The working plane: coverage, and holes and overlaps in the skin of the earth; a real cell as a whole.
#include "dangerline/base/error.hpp"
#include "dangerline/chart/cell.hpp"

#include "cellwriter/cellwriter.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>

using namespace dangerline;
using namespace dangerline::chart;

namespace {

struct Laid {
    Cell cell;
    Diagnostics said;
    bool broken() const {
        return std::any_of(said.begin(), said.end(),
                           [](const Diagnostic& d) { return d.severity == Severity::broken; });
    }
};

Laid lay(const std::filesystem::path& source) {
    Laid result;
    result.cell = read_cell(find_cells({source}).at(0), result.said);
    lay_out(result.cell, geo::Plane(middle_of(result.cell).value()), result.said);
    return result;
}

Laid lay(const cellwriter::CellDraft& draft) {
    const support::TemporaryFolder folder;
    return lay(folder.file("X14TEST1.000", draft.bytes()));
}

/// Two depth areas side by side under one coverage.
cellwriter::CellDraft tiled() {
    const cellwriter::Place a{-28, 46}, b{-27.99, 46}, c{-27.99, 46.01}, d{-28, 46.01}, e{-27.98, 46},
        f{-27.98, 46.01};
    cellwriter::CellDraft draft;
    draft.add_area("M_COVR", {{a, b, e, f, c, d}}, {{"CATCOV", "1"}});
    draft.add_area("DEPARE", {{a, b, c, d}}, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    draft.add_area("DEPARE", {{b, e, f, c}}, {{"DRVAL1", "5"}, {"DRVAL2", "10"}});
    return draft;
}

// 0.01 degrees each way at 46 N: 774.6 m by 1111.6 m on WGS 84 (77 465 m and 111 156 m a degree, from
// memory).
constexpr double tile_m2 = 774.6 * 1111.6;

} // namespace

TEST(LayOut, DemoIsTiledWithoutGaps) {
    const Laid laid = lay(support::testdata() / "demo" / "X14DEMO1.000");
    EXPECT_TRUE(laid.said.empty()) << laid.said[0].what;
    EXPECT_TRUE(laid.cell.coverage_stated);
    EXPECT_EQ(laid.cell.gap_square_metres, 0.0);
    EXPECT_EQ(laid.cell.overlap_square_metres, 0.0);
    EXPECT_TRUE(laid.cell.gaps.empty());
    // the frame is 14800 m by 11100 m
    EXPECT_NEAR(geo::area_of(laid.cell.coverage), 14800.0 * 11100.0, 0.003 * 14800.0 * 11100.0);
}

TEST(LayOut, AMissingDepthAreaIsAGap) {
    EXPECT_EQ(lay(tiled()).cell.gap_square_metres, 0.0);
    EXPECT_FALSE(lay(tiled()).broken());
    auto draft = tiled();
    draft.features.pop_back();
    const Laid laid = lay(draft);
    EXPECT_TRUE(laid.broken());
    EXPECT_NEAR(laid.cell.gap_square_metres, tile_m2, 0.002 * tile_m2);
    EXPECT_EQ(laid.cell.overlap_square_metres, 0.0);
    EXPECT_FALSE(laid.cell.gaps.empty());
}

TEST(LayOut, OverlappingAreasAreSaid) {
    auto draft = tiled();
    draft.add_area("LNDARE", {{{-28, 46}, {-27.99, 46}, {-27.99, 46.01}, {-28, 46.01}}});
    const Laid laid = lay(draft);
    EXPECT_TRUE(laid.broken());
    EXPECT_NEAR(laid.cell.overlap_square_metres, tile_m2, 0.002 * tile_m2);
    EXPECT_EQ(laid.cell.gap_square_metres, 0.0);
    EXPECT_FALSE(laid.cell.gaps.empty());
}

TEST(LayOut, WithoutCoverageNothingIsVouchedFor) {
    auto draft = tiled();
    draft.features.pop_front();
    const Laid laid = lay(draft);
    EXPECT_FALSE(laid.cell.coverage_stated);
    EXPECT_TRUE(laid.cell.coverage.empty());
    EXPECT_TRUE(laid.broken());
}

TEST(LayOut, CoverageOfCategoryTwoIsTakenOut) {
    auto draft = tiled();
    draft.add_area("M_COVR", {{{-27.99, 46}, {-27.98, 46}, {-27.98, 46.01}, {-27.99, 46.01}}},
                   {{"CATCOV", "2"}});
    const Laid laid = lay(draft);
    EXPECT_TRUE(laid.cell.coverage_stated);
    EXPECT_NEAR(geo::area_of(laid.cell.coverage), tile_m2, 0.002 * tile_m2);
}

/// Reads depth areas and coverage alone, laid out meanwhile.
Laid lay_bottom_only(const std::filesystem::path& source) {
    const geo::Plane plane({-28, 46});
    const Laying laying{plane, [](std::string_view cls) { return cls == "DEPARE" || cls == "M_COVR"; }};
    Laid result;
    result.cell = read_cell(find_cells({source}).at(0), result.said, &laying);
    lay_out(result.cell, plane, result.said);
    return result;
}

TEST(LayOut, ObjectsNobodyAsksForAreCountedAndLeftOut) {
    auto draft = tiled();
    draft.add_area("BUAARE", {{{-27.99, 46}, {-27.98, 46}, {-27.98, 46.01}, {-27.99, 46.01}}});
    const support::TemporaryFolder folder;
    const Laid laid = lay_bottom_only(folder.file("X14TEST1.000", draft.bytes()));
    EXPECT_EQ(laid.cell.features.size(), 3U);
    EXPECT_TRUE(laid.cell.distrust.empty()) << laid.cell.distrust.front();
    EXPECT_EQ(laid.cell.gap_square_metres, 0.0);
    EXPECT_FALSE(laid.broken());
}

// NOAA cell US4MD81M, edition 31 with updates 1 to 3; counts measured with GDAL 3.6.2's ogrinfo.
TEST(LayOutReal, CellWithThreeUpdates) {
    SKIP_WITHOUT_REAL_CELLS(folder);
    const Laid laid = lay(*folder / "US4MD81M" / "US4MD81M.000");
    std::map<std::string, int> count;
    std::size_t soundings = 0;
    for (const auto& f : laid.cell.features) {
        ++count[f.cls];
        if (f.cls == "SOUNDG")
            soundings += f.geometry.points.size();
    }
    EXPECT_EQ(count["UWTROC"], 18);
    EXPECT_EQ(count["WRECKS"], 111);
    EXPECT_EQ(count["OBSTRN"], 219);
    EXPECT_EQ(count["DEPARE"], 525);
    EXPECT_EQ(count["SOUNDG"], 56);
    EXPECT_EQ(soundings, 3326U);
    EXPECT_EQ(count["M_QUAL"], 91);
    EXPECT_EQ(laid.cell.update, 3);
    EXPECT_TRUE(laid.cell.distrust.empty());
    EXPECT_LT(laid.cell.gap_square_metres, 1.0);
    EXPECT_LT(laid.cell.overlap_square_metres, 1.0);
    const Laid some = lay_bottom_only(*folder / "US4MD81M" / "US4MD81M.000"); // updated objects count too
    EXPECT_EQ(some.cell.features.size(), static_cast<std::size_t>(count["DEPARE"] + count["M_COVR"]));
    EXPECT_TRUE(some.cell.distrust.empty());
}

TEST(LayOutReal, DamageIsSaid) {
    SKIP_WITHOUT_REAL_CELLS(folder);
    const auto bytes = [&](int n) {
        return support::read_file(*folder / "US4MD81M" / ("US4MD81M.00" + std::to_string(n)));
    };
    Diagnostics said;
    {
        const support::TemporaryFolder made;
        made.file("US4MD81M.000", bytes(0));
        made.file("US4MD81M.001", bytes(1));
        made.file("US4MD81M.003", bytes(3));
        const Cell gap = read_cell(find_cells({made.path()}).at(0), said);
        EXPECT_EQ(gap.update, 1);
        EXPECT_FALSE(gap.distrust.empty());
    }
    const auto refused = [&](const std::string& base) {
        const support::TemporaryFolder made;
        const auto found = find_cells({made.file("US4MD81M.000", base)});
        EXPECT_THROW(read_cell(found.at(0), said), Failure);
    };
    refused(bytes(0).substr(0, 200'001));
    std::string base = bytes(0);
    const std::string factor("\x80\x96\x98\x00", 4); // COMF 10 000 000, the first such number in the file
    const auto at = base.find(factor);
    ASSERT_NE(at, std::string::npos);
    base[at] = '\x81';
    refused(base);
}
