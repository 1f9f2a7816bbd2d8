// Where nobody should anchor, on made cells: each row of the table, distances, doubts, natures of the bottom.
#include "dangerline/hazard/anchoring.hpp"

#include "dangerline/chart/precedence.hpp"

#include "cellwriter/cellwriter.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

using namespace dangerline;
using namespace dangerline::hazard;
using cellwriter::CellDraft;
using cellwriter::Ring;

namespace {

const geo::Plane& plane() {
    static const geo::Plane p({-28, 46});
    return p;
}

cellwriter::Place at(double x, double y) {
    const auto p = plane().to_position(geo::Point{x, y});
    return {p.lon_deg, p.lat_deg};
}

Ring box(double west, double south, double east, double north) {
    return {at(west, south), at(east, south), at(east, north), at(west, north)};
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

/// 1:4000 and CATZOC A1: a position doubt of 5 m.
CellDraft sheet(std::uint32_t scale = 4000) {
    CellDraft d;
    d.header.cscl = scale;
    d.add_area("M_COVR", {box(-4000, -4000, 4000, 4000)}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {box(-4000, -4000, 4000, 4000)}, {{"DRVAL1", "5"}, {"DRVAL2", "10"}});
    d.add_area("M_QUAL", {box(-4000, -4000, 4000, 4000)}, {{"CATZOC", "1"}});
    return d;
}

chart::Feature feature(const std::string& cls, const std::string& attribute = "",
                       const std::string& value = "") {
    chart::Feature f;
    f.cls = cls;
    if (!attribute.empty())
        f.attributes.set(attribute, value);
    return f;
}

const AnchoringRule* rule(const std::string& cls, const std::string& attribute = "",
                          const std::string& value = "") {
    return anchoring_rule(feature(cls, attribute, value));
}

} // namespace

TEST(Anchoring, every_row_is_met_by_an_object_of_its_kind) {
    for (const auto& row : anchoring_rules()) {
        const std::string cls = row.cls == "*" ? "CTNARE" : std::string(row.cls);
        if (row.codes.empty()) {
            EXPECT_EQ(rule(cls), &row) << cls;
            continue;
        }
        for (const int code : row.codes)
            EXPECT_EQ(rule(cls, std::string(row.attribute), std::to_string(code)), &row) << cls << code;
    }
}

TEST(Anchoring, what_is_no_place_to_anchor) {
    EXPECT_EQ(rule("CBLSUB")->foul, Foul::cable);
    EXPECT_EQ(rule("PIPSOL", "CATPIP", "2")->what, "outfall pipe");
    EXPECT_EQ(rule("PIPSOL", "CATPIP", "6")->foul, Foul::pipe);
    EXPECT_EQ(rule("OBSTRN", "CATOBS", "7")->what, "foul ground");
    EXPECT_EQ(rule("RESARE", "RESTRN", "3,1")->what, "anchoring prohibited");
    EXPECT_EQ(rule("CTNARE", "RESTRN", "2")->what, "anchoring restricted");
    EXPECT_EQ(rule("RESARE", "RESTRN", "3"), nullptr); // fishing alone
    EXPECT_EQ(rule("RESARE")->foul, Foul::forbidden);  // not stated: the worst
    EXPECT_EQ(rule("WATTUR")->foul, Foul::surf);
    EXPECT_EQ(rule("WATTUR", "CATWAT", "3")->foul, Foul::rough);
    EXPECT_EQ(rule("ACHARE"), nullptr);
    EXPECT_EQ(rule("SBDARE", "NATSUR", "4"), nullptr);
    EXPECT_EQ(std::string(to_text(Foul::surf)), "surf");
    EXPECT_EQ(std::string(to_text(Foul::rough)), "rough_water");
}

TEST(Anchoring, distances_with_their_doubt) {
    CellDraft d = sheet();
    d.add_line("CBLSUB", {at(100, -1000), at(100, 1000)});
    d.add_point("WRECKS", at(-200, 0), {{"CATWRK", "2"}}).quality.quapos = 4; // approximate: 50 m
    d.add_area("DMPGRD", {box(-10, -10, 10, 10)}, {});
    const std::vector<chart::Cell> cells{laid(d)};
    const AnchoringGround ground(cells);
    const auto all = ground.foul_near({0, 0}, 500.0);
    ASSERT_EQ(all.size(), 3u);
    EXPECT_EQ(all[0].object.cls, "DMPGRD");
    EXPECT_EQ(all[0].distance_m, 0.0);
    EXPECT_EQ(all[1].object.cls, "CBLSUB");
    EXPECT_NEAR(all[1].distance_m, 100.0, 0.1);
    EXPECT_NEAR(all[1].nearest.x, 100.0, 0.1);
    EXPECT_NEAR(all[1].nearest.y, 0.0, 0.1);
    EXPECT_NEAR(all[1].position_m, 5.0, 1e-9);
    EXPECT_NEAR(all[2].position_m, 50.0, 1e-9);
    // A doubtful place counts as soon as its doubt reaches in.
    EXPECT_EQ(ground.foul_near({0, 0}, 149.0).size(), 2u);
    EXPECT_EQ(ground.foul_near({0, 0}, 151.0).size(), 3u);
    EXPECT_EQ(ground.foul_near({0, 0}, 94.0).size(), 1u);
    EXPECT_EQ(ground.foul_near({0, 0}, 96.0).size(), 2u);
    EXPECT_EQ(ground.placeless_at({0, 0}), "");
}

TEST(Anchoring, a_coarser_chart_keeps_its_cable) {
    CellDraft coarse = sheet(40'000);
    coarse.add_line("CBLSUB", {at(100, -1000), at(100, 1000)});
    coarse.add_point("SBDARE", at(20, 0), {{"NATSUR", "9"}});
    std::vector<chart::Cell> cells{laid(sheet(), "X14TEST1"), laid(coarse, "X13TEST2")};
    chart::settle_scales(cells);
    const AnchoringGround ground(cells);
    const auto all = ground.foul_near({0, 0}, 500.0);
    ASSERT_EQ(all.size(), 1u);
    EXPECT_TRUE(all[0].coarser);
    EXPECT_TRUE(ground.natures_near({0, 0}, 500.0).empty());
}

TEST(Anchoring, natures_nearest_first) {
    CellDraft d = sheet();
    d.add_area("SBDARE", {box(-50, -50, 50, 50)}, {{"NATSUR", "4"}, {"NATQUA", "1"}});
    d.add_point("SBDARE", at(300, 0), {{"NATSUR", "9,6"}});
    d.add_point("SBDARE", at(0, 400), {{"NATSUR", ""}});
    const std::vector<chart::Cell> cells{laid(d)};
    const AnchoringGround ground(cells);
    const auto all = ground.natures_near({0, 0}, 500.0);
    ASSERT_EQ(all.size(), 3u);
    EXPECT_TRUE(all[0].area);
    EXPECT_EQ(all[0].natsur, std::vector{4});
    EXPECT_EQ(all[0].natqua, std::vector{1});
    EXPECT_EQ(all[1].natsur, (std::vector{9, 6}));
    EXPECT_NEAR(all[1].distance_m, 300.0, 0.1);
    EXPECT_TRUE(all[2].natsur.empty());
    EXPECT_EQ(ground.natures_near({0, 0}, 200.0).size(), 1u);
}

TEST(Anchoring, a_cable_that_lost_its_place_may_lie_anywhere_on_the_chart) {
    CellDraft d = sheet();
    d.add_bare("CBLSUB", {});
    const std::vector<chart::Cell> cells{laid(d)};
    const AnchoringGround ground(cells);
    EXPECT_NE(ground.placeless_at({0, 0}).find("submarine cable"), std::string::npos);
    EXPECT_EQ(ground.placeless_at({9000, 0}), "");
}
