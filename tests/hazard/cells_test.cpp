// From cells to hazards: datum areas, and cells that part one stretch of water between them.
#include "dangerline/chart/precedence.hpp"
#include "dangerline/hazard/build.hpp"
#include "dangerline/hazard/join.hpp"

#include "cellwriter/cellwriter.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>

using namespace dangerline;
using cellwriter::CellDraft;
using cellwriter::Ring;

namespace {

chart::Cell laid(CellDraft draft, const std::string& name) {
    const support::TemporaryFolder folder;
    draft.header.dsnm = name + ".000";
    Diagnostics said;
    chart::Cell cell =
        chart::read_cell(chart::find_cells({folder.file(name + ".000", draft.bytes())}).at(0), said);
    chart::lay_out(cell, geo::Plane({-28, 46}), said);
    return cell;
}

Ring box(double west, double south, double east, double north) {
    return {{west, south}, {east, south}, {east, north}, {west, north}};
}

int datum_of(const hazard::Hazards& hazards, const std::string& cls, double west_of_x) {
    for (const auto& h : hazards.all)
        if (h.object.cls == cls && h.box.max_x < west_of_x)
            return h.datum;
    throw std::runtime_error("no " + cls);
}

/// A stretch of water between two meridians: what lies in it is cut at them, as producers cut cells.
struct Piece {
    double west, east;
    bool holds(double lon) const { return lon >= west && lon < east; }
    bool meets(double from, double to) const { return std::max(west, from) < std::min(east, to); }
    Ring area(double from, double south, double to, double north) const {
        return box(std::max(west, from), south, std::min(east, to), north);
    }
};

CellDraft drawn(const Piece& piece) {
    CellDraft d;
    std::uint32_t number = 100;
    const auto area = [&](const char* cls, double from, double south, double to, double north,
                          cellwriter::Attributes attributes) {
        ++number;
        if (piece.meets(from, to))
            d.add_area(cls, {piece.area(from, south, to, north)}, std::move(attributes)).fidn = number;
    };
    d.add_area("M_COVR", {box(piece.west, 46, piece.east, 46.05)}, {{"CATCOV", "1"}});
    area("DEPARE", -28, 46, -27.9, 46.02, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    area("DEPARE", -28, 46.02, -27.9, 46.04, {{"DRVAL1", "0"}, {"DRVAL2", "2"}});
    area("LNDARE", -28, 46.04, -27.9, 46.05, {});
    area("OBSTRN", -27.98, 46.01, -27.93, 46.015, {{"VALSOU", "1"}, {"WATLEV", "3"}});
    area("M_QUAL", -28, 46, -27.9, 46.05, {{"CATZOC", "3"}});
    for (const double lon : {-27.99, -27.95, -27.91}) {
        ++number;
        if (piece.holds(lon))
            d.add_point("WRECKS", {lon, 46.005}, {{"VALSOU", "3"}}).fidn = number;
    }
    ++number;
    if (piece.meets(-27.99, -27.92))
        d.add_line("OBSTRN", {{std::max(piece.west, -27.99), 46.03}, {std::min(piece.east, -27.92), 46.03}},
                   {{"VALSOU", "0.5"}, {"WATLEV", "3"}})
            .fidn = number;
    return d;
}

/// What each charted object is after joining: its steps, how many parts, its bounds to a decimetre.
std::map<std::string, std::vector<long>> summary(const std::vector<chart::Cell>& cells) {
    Diagnostics said;
    auto hazards = hazard::build(cells, said);
    hazard::join_split_objects(hazards.all, hazards.cells);
    std::map<std::string, std::vector<long>> out;
    for (const auto& h : hazards.all) {
        if (h.object.lnam.empty())
            continue;
        std::vector<long> about{std::lround(h.box.min_x * 2),           std::lround(h.box.min_y * 2),
                                std::lround(h.box.max_x * 2),           std::lround(h.box.max_y * 2),
                                std::lround(h.allowance.survey_m * 10), h.allowance.catzoc};
        for (const auto& s : h.steps) {
            about.push_back(std::lround(s.depth.metres() * 100));
            about.push_back(static_cast<long>(s.decides));
        }
        EXPECT_TRUE(out.emplace(h.object.lnam + h.object.cls, about).second) << h.object.cls << " twice";
    }
    return out;
}

} // namespace

TEST(DatumAreas, AnObjectTakesTheDatumOfTheAreaItLiesIn) {
    CellDraft d;
    d.header.sdat = 23;
    d.header.vdat = 16;
    d.add_area("M_COVR", {box(-28, 46, -27.9, 46.05)}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {box(-28, 46, -27.9, 46.05)}, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    const Ring west = box(-28.001, 45.999, -27.95, 46.051);
    d.add_area("M_SDAT", {west}, {{"VERDAT", "12"}});
    d.add_area("M_VDAT", {west}, {{"VERDAT", "30"}});
    for (const double lon : {-27.99, -27.91}) {
        d.add_point("WRECKS", {lon, 46.02}, {{"VALSOU", "3"}});
        d.add_soundings({{{lon, 46.03}, 3.0}});
        d.add_line("CBLOHD", {{lon, 46.0}, {lon, 46.04}}, {{"VERCLR", "20"}});
    }
    d.add_point("UWTROC", {-27.99, 46.01}, {{"VALSOU", "1"}, {"VERDAT", "3"}}); // its own comes first
    Diagnostics said;
    const auto hazards = hazard::build({laid(d, "X14TEST1")}, said);
    // 28 W is x = 0; 27.95 W lies 3.9 km east of it
    EXPECT_EQ(datum_of(hazards, "WRECKS", 3000), 12);
    EXPECT_EQ(datum_of(hazards, "SOUNDG", 3000), 12);
    EXPECT_EQ(datum_of(hazards, "CBLOHD", 3000), 30);
    EXPECT_EQ(datum_of(hazards, "UWTROC", 3000), 3);
    for (const auto& h : hazards.all) {
        if (h.box.min_x < 6000)
            continue;
        if (h.object.cls == "WRECKS" || h.object.cls == "SOUNDG") {
            EXPECT_EQ(h.datum, 23);
        }
        if (h.object.cls == "CBLOHD") {
            EXPECT_EQ(h.datum, 16);
        }
    }
}

// The group of soundings and the areas run over the edge of the datum area at 27.95 W, 3.9 km east of x = 0.
TEST(DatumAreas, WhatSpansItsEdgeIsParted) {
    CellDraft d;
    d.header.sdat = 23;
    const auto whole = [] { return box(-28, 46, -27.9, 46.05); };
    d.add_area("M_COVR", {whole()}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {whole()}, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    d.add_area("M_SDAT", {box(-28, 46, -27.95, 46.05)}, {{"VERDAT", "12"}});
    d.add_soundings({{{-27.91, 46.03}, 3.0}, {{-27.99, 46.03}, 3.5}});
    d.add_line("OBSTRN", {{-27.99, 46.02}, {-27.91, 46.02}}, {{"VALSOU", "1"}, {"WATLEV", "3"}});
    d.add_area("SWPARE", {box(-27.94, 46.01, -27.92, 46.02)}, {{"DRVAL1", "4"}, {"VERDAT", "3"}});
    const auto cell = laid(d, "X14TEST1");
    const double edge = geo::Plane({-28, 46}).to_plane({-27.95, 46.025}).x;
    Diagnostics said;
    const hazard::BuildSettings with_bottom{.bottom =
                                                hazard::BottomWindow{{{-5e3, -5e3, 15e3, 15e3}}, 0, 60}};
    for (const auto& settings : {hazard::BuildSettings{}, with_bottom}) {
        const auto hazards = hazard::build({cell}, said, settings);
        std::map<std::string, std::vector<int>> datums;
        double square_metres = 0.0;
        for (const auto& h : hazards.all) {
            if (h.object.lnam.empty())
                continue;
            datums[h.object.cls].push_back(h.datum);
            if (h.datum == 12) {
                EXPECT_LT(h.box.max_x, edge + 5.0) << h.object.cls;
            } else {
                EXPECT_GT(h.box.min_x, edge - 5.0) << h.object.cls;
            }
            if (h.object.cls == "DEPARE") {
                EXPECT_EQ(h.surface, nullptr); // one surface can't stand over two datums
                square_metres += geo::area_of(geo::polygons_of(*h.steps.front().extent));
            }
        }
        EXPECT_EQ(datums["SOUNDG"], (std::vector{23, 12}));
        EXPECT_EQ(datums["DEPARE"], (std::vector{12, 23}));
        EXPECT_EQ(datums["OBSTRN"], (std::vector{12, 23}));
        EXPECT_EQ(datums["SWPARE"], (std::vector{3})); // its own comes first, wherever it lies
        EXPECT_NEAR(square_metres, geo::area_of(cell.coverage), 1.0);
    }
    EXPECT_TRUE(std::any_of(said.begin(), said.end(), [](const Diagnostic& s) {
        return s.what.find("the datum of depths changes") != std::string::npos;
    }));
}

// Where the chart says two things, both count.
TEST(DatumAreas, WhereTwoOverlapBothCount) {
    CellDraft d;
    d.header.sdat = 23;
    d.add_area("M_COVR", {box(-28, 46, -27.9, 46.05)}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {box(-28, 46, -27.9, 46.05)}, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    d.add_area("M_SDAT", {box(-28, 46, -27.95, 46.05)}, {{"VERDAT", "12"}});
    d.add_area("M_SDAT", {box(-27.97, 46, -27.9, 46.05)}, {{"VERDAT", "3"}});
    d.add_point("WRECKS", {-27.96, 46.02}, {{"VALSOU", "3"}, {"WATLEV", "3"}});
    d.add_soundings({{{-27.96, 46.03}, 3.0}});
    Diagnostics said;
    std::map<std::string, std::vector<int>> datums;
    for (const auto& h : hazard::build({laid(d, "X14TEST1")}, said).all)
        datums[h.object.cls].push_back(h.datum);
    EXPECT_EQ(datums["WRECKS"], (std::vector{3, 12}));
    EXPECT_EQ(datums["SOUNDG"], (std::vector{3, 12}));
    EXPECT_EQ(datums["DEPARE"], (std::vector{3, 12}));
}

TEST(Seams, WhereTheSplitLineRunsChangesNoHazard) {
    const auto whole = summary({laid(drawn({-28, -27.9}), "X14WHOL1")});
    EXPECT_EQ(whole.size(), 8U);
    for (const double seam : {-27.995, -27.98, -27.95, -27.9333333, -27.91}) {
        const auto split =
            summary({laid(drawn({-28, seam}), "X14WEST1"), laid(drawn({seam, -27.9}), "X14EAST1")});
        EXPECT_EQ(split, whole) << seam;
    }
    const auto three =
        summary({laid(drawn({-28, -27.97}), "X14WEST1"), laid(drawn({-27.97, -27.94}), "X14MIDD1"),
                 laid(drawn({-27.94, -27.9}), "X14EAST1")});
    EXPECT_EQ(three, whole);
}

// What lies 3 NM beyond what is asked is nobody's danger, unless a bottom that moves may have brought it
// near.
TEST(Cells, SoundingsFarFromTheWindowCountWhereBottomsMove) {
    CellDraft d;
    d.add_area("M_COVR", {box(-28, 46, -27.8, 46.05)}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {box(-28, 46, -27.8, 46.05)}, {{"DRVAL1", "0"}, {"DRVAL2", "20"}});
    d.add_soundings({{{-27.99, 46.02}, 1.0}, {{-27.85, 46.02}, 2.0}});
    const auto cell = laid(std::move(d), "X14TESTA");
    const auto soundings = [&](const hazard::BuildSettings& settings) {
        Diagnostics said;
        const auto hazards = hazard::build({cell}, said, settings);
        return std::count_if(hazards.all.begin(), hazards.all.end(),
                             [](const auto& h) { return h.object.cls == "SOUNDG"; });
    };
    hazard::BuildSettings settings;
    EXPECT_EQ(soundings(settings), 2);
    settings.window = geo::Box{0.0, 0.0, 1000.0, 4000.0};
    EXPECT_EQ(soundings(settings), 1);
    settings.trust.emplace();
    EXPECT_EQ(soundings(settings), 1);
    for (auto& rule : settings.trust->moving)
        if (rule.kind == survey::Moving::sand_waves)
            rule.metres_per_year = 20.0;
    EXPECT_EQ(soundings(settings), 2) << "20 m a year for 100 years";
    settings.trust.reset();
    settings.moving.push_back({survey::Moving::channel, "Gut", cell.features.front().shape, {}, {}, {}});
    EXPECT_EQ(soundings(settings), 2);
}
