// The two ends of what the bottom may be, on made cells and on random ones.
#include "dangerline/hazard/bounds.hpp"

#include "dangerline/chart/precedence.hpp"

#include "cellwriter/cellwriter.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <random>

using namespace dangerline;
using cellwriter::CellDraft;
using cellwriter::Ring;

namespace {

const geo::Plane& plane() {
    static const geo::Plane p({-28, 46});
    return p;
}

chart::Cell laid(CellDraft draft, const std::string& name = "X14TEST1") {
    const support::TemporaryFolder folder;
    draft.header.dsnm = name + ".000";
    Diagnostics said;
    chart::Cell cell =
        chart::read_cell(chart::find_cells({folder.file(name + ".000", draft.bytes())}).at(0), said);
    chart::lay_out(cell, plane(), said);
    return cell;
}

/// Corners in metres around 28 W 46 N.
cellwriter::Place at(double x, double y) {
    const auto p = plane().to_position(geo::Point{x, y});
    return {p.lon_deg, p.lat_deg};
}

Ring box(double west, double south, double east, double north) {
    return {at(west, south), at(east, south), at(east, north), at(west, north)};
}

const std::vector<geo::Box> everywhere{{-20'000, -20'000, 20'000, 20'000}};

/// West of x = 0 2 to 5 m, east of it 5 to 10 m; CATZOC A1: position 5 m + 5 % of depth, depth 0.5 m + 1 %.
CellDraft two_areas() {
    CellDraft d;
    d.header.cscl = 4000; // 0.5 mm at scale are 2 m
    d.add_area("M_COVR", {box(-4000, -4000, 4000, 4000)}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {box(-4000, -4000, 0, 4000)}, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    d.add_area("DEPARE", {box(0, -4000, 4000, 4000)}, {{"DRVAL1", "5"}, {"DRVAL2", "10"}});
    d.add_area("M_QUAL", {box(-4000, -4000, 4000, 4000)}, {{"CATZOC", "1"}});
    return d;
}

hazard::DepthBounds ask(const CellDraft& d, geo::Point place, double within_m = 0.0) {
    const std::vector<chart::Cell> cells{laid(d)};
    return hazard::BottomBounds(cells, everywhere).at(place, within_m);
}

void expect_unknown(const hazard::DepthBounds& b, const std::string& words) {
    EXPECT_FALSE(b.deepest.charted);
    EXPECT_FALSE(b.no_deeper_than());
    EXPECT_NE(b.deepest.rests_on.find(words), std::string::npos) << b.deepest.rests_on;
}

} // namespace

TEST(Bounds, are_the_ends_of_the_range_with_the_doubt_of_the_survey) {
    const auto b = ask(two_areas(), {-1000, 0});
    // IHO S-68 table A-1, CATZOC A1: 0.5 m + 1 % of depth.
    EXPECT_DOUBLE_EQ(b.no_deeper_than()->metres(), 5.0 + 0.55);
    EXPECT_DOUBLE_EQ(b.no_shoaler_than()->metres(), 2.0 - 0.52);
    EXPECT_EQ(b.datum, 23);
    EXPECT_NE(b.deepest.rests_on.find("depth area 2.0 to 5.0 m"), std::string::npos) << b.deepest.rests_on;
    ASSERT_TRUE(b.surface);
    EXPECT_GE(b.surface->metres(), 2.0);
    EXPECT_LE(b.surface->metres(), 5.0);
    EXPECT_FALSE(hazard::BottomBounds({laid(two_areas())}, everywhere, false).at({-1000, 0}).surface);
}

TEST(Bounds, an_area_counts_as_far_as_its_position_is_in_doubt) {
    // 5 m + 5 % of 10 m = 5.5 m is the doubt of the deeper area.
    EXPECT_EQ(ask(two_areas(), {-5.6, 0}).deepest.charted->metres(), 5.0);
    EXPECT_EQ(ask(two_areas(), {-5.4, 0}).deepest.charted->metres(), 10.0);
    EXPECT_EQ(ask(two_areas(), {-105.4, 0}, 100.0).deepest.charted->metres(), 10.0);
    EXPECT_EQ(ask(two_areas(), {5.2, 0}).shoalest.charted->metres(), 2.0); // 5 m + 5 % of 5 m
    EXPECT_EQ(ask(two_areas(), {5.3, 0}).shoalest.charted->metres(), 5.0);
}

TEST(Bounds, a_sounding_outside_the_range_counts_near_it) {
    CellDraft d = two_areas();
    d.add_soundings({{at(-2000, 0), 7.0}, {at(-2000, 1000), 1.0}}, {{"SOUACC", "0.8"}});
    const auto deep = ask(d, {-2030, 0}); // 10 mm at 1:4000 are 40 m
    EXPECT_NEAR(deep.no_deeper_than()->metres(), 7.0 + 0.8, 1e-9);
    EXPECT_NE(deep.deepest.rests_on.find("sounding of 7.0 m"), std::string::npos);
    EXPECT_EQ(deep.shoalest.charted->metres(), 2.0);
    EXPECT_NEAR(ask(d, {-2000, 1030}).no_shoaler_than()->metres(), 1.0 - 0.8, 1e-9);
    EXPECT_EQ(ask(d, {-2100, 0}).deepest.charted->metres(), 5.0);
}

TEST(Bounds, without_drval2_the_deepest_sounding_of_the_area_is_the_only_bound) {
    CellDraft d = two_areas();
    d.features[1].attributes = {{"DRVAL1", "2"}};
    expect_unknown(ask(d, {-1000, 0}), "DRVAL2 not stated");
    EXPECT_EQ(ask(d, {-1000, 0}).shoalest.charted->metres(), 2.0);
    d.add_soundings({{at(-3000, 2000), 6.0}, {at(-3000, 1000), 4.0}});
    EXPECT_EQ(ask(d, {-1000, 0}).deepest.charted->metres(), 6.0);
    EXPECT_EQ(ask(d, {-1000, 0}).shoalest.charted->metres(), 2.0);
    d.features.back().attributes = {{"QUASOU", "3"}}; // doubtful
    expect_unknown(ask(d, {-1000, 0}), "no sounding to be relied on");
    d.features.back().attributes = {{"QUASOU", "5"}}; // no bottom found
    expect_unknown(ask(d, {-1000, 0}), "no bottom found at 6.0 m");
}

TEST(Bounds, what_nobody_knows_is_unknown) {
    expect_unknown(ask(two_areas(), {-3998, 0}), "no chart covers");
    EXPECT_FALSE(ask(two_areas(), {-3998, 0}).shoalest.charted);
    expect_unknown(ask(two_areas(), {9000, 0}), "no chart covers");
    expect_unknown(ask(two_areas(), {90'000, 0}), "not looked at");
    CellDraft unsurveyed = two_areas();
    unsurveyed.features[2].object_class = "UNSARE";
    unsurveyed.features[2].attributes = {};
    expect_unknown(ask(unsurveyed, {1000, 0}), "nobody has sounded it");
    expect_unknown(ask(unsurveyed, {-3, 0}), "nobody has sounded it");
    EXPECT_TRUE(ask(unsurveyed, {-1000, 0}).deepest.charted);
    CellDraft gap = two_areas();
    gap.features.erase(gap.features.begin() + 2);
    expect_unknown(ask(gap, {1000, 0}), "gap");
    CellDraft doubtful = two_areas();
    doubtful.features[1].attributes.push_back({"QUASOU", "4"});
    expect_unknown(ask(doubtful, {-1000, 0}), "doubtful");
    CellDraft waves = two_areas();
    waves.add_area("SNDWAV", {box(-2000, -500, -1000, 500)});
    expect_unknown(ask(waves, {-1500, 0}), "the bottom moves");
    waves.features.back().attributes = {{"VERLEN", "2.5"}};
    EXPECT_DOUBLE_EQ(ask(waves, {-1500, 0}).no_deeper_than()->metres(), 5.55 + 2.5);
    auto distrusted = laid(two_areas());
    distrusted.distrust.push_back("an update is missing");
    expect_unknown(hazard::BottomBounds({distrusted}, everywhere).at({-1000, 0}), "an update is missing");
}

TEST(Bounds, land_has_no_water_to_be_deep) {
    CellDraft d = two_areas();
    d.features[1].object_class = "LNDARE";
    d.features[1].attributes = {};
    const auto ashore = ask(d, {-1000, 0});
    EXPECT_EQ(*ashore.shoalest.charted, Depth::never_covered());
    EXPECT_EQ(*ashore.deepest.charted, Depth::never_covered());
    const auto beach = ask(d, {3, 0});
    EXPECT_EQ(*beach.shoalest.charted, Depth::never_covered());
    EXPECT_EQ(beach.deepest.charted->metres(), 10.0);
}

TEST(Bounds, the_datum_is_that_of_the_place) {
    CellDraft d = two_areas();
    d.add_area("M_SDAT", {box(-4000, -4000, -2000, 4000)}, {{"VERDAT", "12"}});
    EXPECT_EQ(ask(d, {-3000, 0}).datum, 12);
    EXPECT_EQ(ask(d, {-1000, 0}).datum, 23);
    expect_unknown(ask(d, {-2001, 0}), "the datum of depths changes here: 12 (mean lower low water), 23");
    EXPECT_EQ(ask(d, {-2001, 0}).datum, 0);
}

TEST(Bounds, the_better_chart_counts_where_it_rules) {
    CellDraft coarse;
    coarse.header.cscl = 50'000;
    coarse.add_area("M_COVR", {box(-9000, -9000, 9000, 9000)}, {{"CATCOV", "1"}});
    coarse.add_area("DEPARE", {box(-9000, -9000, 9000, 9000)}, {{"DRVAL1", "0"}, {"DRVAL2", "50"}});
    coarse.add_area("M_QUAL", {box(-9000, -9000, 9000, 9000)}, {{"CATZOC", "1"}});
    coarse.add_soundings({{at(-1000, 0), 40.0}, {at(-7000, 0), 60.0}});
    std::vector<chart::Cell> cells{laid(coarse, "X13TEST1"), laid(two_areas())};
    chart::settle_scales(cells);
    const hazard::BottomBounds bounds(cells, everywhere);
    EXPECT_EQ(bounds.at({-1000, 0}).deepest.charted->metres(), 5.0);
    EXPECT_EQ(bounds.at({-1000, 0}).deepest.cell, "X14TEST1");
    EXPECT_EQ(bounds.at({-6000, 0}).deepest.charted->metres(), 50.0);
    EXPECT_EQ(bounds.at({-7000, 0}).deepest.charted->metres(), 60.0);
    EXPECT_EQ(bounds.at({-3999, 0}).deepest.cell, "X13TEST1"); // so near its edge either chart may be right
}

// Random strips of depth areas, random soundings in them, some beyond their ranges.
TEST(Bounds, the_deep_one_is_no_shoaler_than_any_sounding_near_nor_than_the_surface) {
    std::mt19937 random(20'261'103);
    const auto between = [&](double a, double b) { return std::uniform_real_distribution(a, b)(random); };
    int asked = 0, surfaces = 0;
    for (int round = 0; round < 12; ++round) {
        CellDraft d;
        d.header.cscl = 10'000;
        d.add_area("M_COVR", {box(-4000, -4000, 4000, 4000)}, {{"CATCOV", "1"}});
        d.add_area("M_QUAL", {box(-4000, -4000, 4000, 4000)}, {{"CATZOC", std::to_string(1 + round % 4)}});
        const int levels[] = {-2, 0, 2, 5, 10, 20, 50};
        for (int i = 0; i < 6; ++i) {
            const int k = static_cast<int>(between(0.0, 5.99));
            const double west = -4000 + 8000.0 * i / 6, east = -4000 + 8000.0 * (i + 1) / 6;
            cellwriter::Attributes range{{"DRVAL1", std::to_string(levels[k])}};
            if (between(0, 1) < 0.8)
                range.push_back({"DRVAL2", std::to_string(levels[k + 1])});
            d.add_area("DEPARE", {box(west, -4000, east, 4000)}, range);
            std::vector<cellwriter::Sounding> soundings;
            for (int n = 0; n < 15; ++n)
                soundings.push_back({at(between(west + 1, east - 1), between(-3990, 3990)),
                                     std::round(between(levels[k] - 3, levels[k + 1] + 3) * 10) / 10});
            d.add_soundings(soundings);
        }
        const std::vector<chart::Cell> cells{laid(d)};
        const hazard::BottomBounds bounds(cells, everywhere);
        for (int n = 0; n < 200; ++n, ++asked) {
            const geo::Point p{between(-3400, 3400), between(-3400, 3400)};
            const auto b = bounds.at(p);
            ASSERT_TRUE(b.no_deeper_than()) << b.deepest.rests_on;
            ASSERT_TRUE(b.no_shoaler_than());
            if (b.surface) {
                ++surfaces;
                EXPECT_LE(*b.surface, *b.no_deeper_than());
                EXPECT_GE(*b.surface, *b.no_shoaler_than());
            }
            const auto wider = bounds.at(p, 100.0);
            if (wider.no_deeper_than()) {
                EXPECT_GE(*wider.no_deeper_than(), *b.no_deeper_than());
                EXPECT_LE(*wider.no_shoaler_than(), *b.no_shoaler_than());
            }
            for (const auto& area : cells[0].features) {
                if (area.cls != "DEPARE" || !area.shape->contains(p))
                    continue;
                for (const auto& group : cells[0].features)
                    for (std::size_t i = 0; group.cls == "SOUNDG" && i < group.geometry.depths_m.size();
                         ++i) {
                        const auto s = group.shape->points()[i];
                        const double depth_m = group.geometry.depths_m[i];
                        if (area.shape->contains(s) && std::hypot(s.x - p.x, s.y - p.y) <= 100.0) {
                            EXPECT_GE(b.no_deeper_than()->metres(), depth_m);
                            EXPECT_LE(b.no_shoaler_than()->metres(), depth_m);
                        }
                    }
            }
        }
    }
    EXPECT_GT(surfaces, asked / 4);
}
