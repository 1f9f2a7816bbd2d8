// Cells from files to features: what is found, what is read, what is said of damaged ones.
#include "dangerline/base/error.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/chart/record.hpp"

#include "cellwriter/cellwriter.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <random>

using namespace dangerline;
using namespace dangerline::chart;

namespace {

const auto demo = support::testdata() / "demo";

std::string demo_bytes(const char* ending) {
    return support::read_file(demo / (std::string("X14DEMO1.") + ending));
}

struct Read {
    Cell cell;
    Diagnostics said;
    bool broken() const {
        return std::any_of(said.begin(), said.end(),
                           [](const Diagnostic& d) { return d.severity == Severity::broken; });
    }
    const Feature& feature(std::uint32_t fidn) const {
        for (const auto& f : cell.features)
            if (f.id.fidn == fidn)
                return f;
        throw std::runtime_error("no feature " + std::to_string(fidn));
    }
    bool has(std::uint32_t fidn) const {
        return std::any_of(cell.features.begin(), cell.features.end(),
                           [&](const Feature& f) { return f.id.fidn == fidn; });
    }
};

Read read_from(const std::filesystem::path& source) {
    Read result;
    const auto found = find_cells({source});
    if (found.size() != 1)
        throw std::runtime_error("not one cell");
    result.cell = read_cell(found[0], result.said);
    return result;
}

/// A folder with these files, read.
Read read_files(const std::map<std::string, std::string>& files) {
    const support::TemporaryFolder folder;
    for (const auto& [name, bytes] : files)
        folder.file(name, bytes);
    return read_from(folder.path());
}

void expect_refused(const std::vector<std::filesystem::path>& sources) {
    try {
        Diagnostics said;
        for (const auto& cell : find_cells(sources))
            read_cell(cell, said);
        ADD_FAILURE() << "read";
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::data);
        EXPECT_FALSE(failure.complaint().what.empty());
    }
}

void expect_base_refused(const std::string& bytes) {
    const support::TemporaryFolder folder;
    expect_refused({folder.file("X14TEST1.000", bytes)});
}

void expect_distrusted(const Read& read, int update) {
    EXPECT_FALSE(read.cell.distrust.empty());
    EXPECT_TRUE(read.broken());
    EXPECT_EQ(read.cell.update, update);
    EXPECT_FALSE(read.cell.features.empty());
}

// Numbers of the features below: 1 depth area, 2 to 4 wrecks, 5 soundings, 6 land, 7 depth line.
cellwriter::CellDraft draft() {
    cellwriter::CellDraft d;
    d.add_area("DEPARE", {{{-28, 46}, {-27.9, 46}, {-27.9, 46.1}, {-28, 46.1}}},
               {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    d.add_point("WRECKS", {-27.95, 46.05}, {{"CATWRK", "2"}, {"VALSOU", "3.0"}});
    d.add_point("WRECKS", {-27.96, 46.05}, {{"CATWRK", "2"}, {"VALSOU", ""}});
    d.add_point("WRECKS", {-27.97, 46.05}, {{"CATWRK", "2"}});
    d.add_soundings({{{-27.96, 46.02}, 3.0}, {{-27.97, 46.03}, -1.5}});
    d.add_point("LNDARE", {-27.92, 46.02});
    d.add_line("DEPARE", {{-27.99, 46.01}, {-27.98, 46.02}, {-27.97, 46.01}},
               {{"DRVAL1", "0"}, {"DRVAL2", "2"}});
    return d;
}

std::string first_update(const cellwriter::CellDraft& base) {
    cellwriter::UpdateDraft update(base.compile());
    update.change(2, {{"VALSOU", "2.5"}});
    return update.bytes();
}

} // namespace

TEST(ReadCell, DemoWithItsUpdate) {
    const Read r = read_from(demo / "X14DEMO1.000");
    EXPECT_TRUE(r.said.empty()) << r.said[0].what;
    EXPECT_TRUE(r.cell.distrust.empty());
    EXPECT_EQ(r.cell.name, "X14DEMO1");
    EXPECT_EQ(r.cell.edition, 3);
    EXPECT_EQ(r.cell.update, 1);
    EXPECT_EQ(r.cell.updates_on_disk, 1U);
    EXPECT_EQ(r.cell.issued, "20260420");
    EXPECT_FALSE(r.cell.withdrawn);
    const Feature& amaranth = r.feature(711);
    EXPECT_EQ(amaranth.cls, "WRECKS");
    EXPECT_EQ(name_of(amaranth), "Wreck of the Amaranth");
    EXPECT_EQ(amaranth.quapos, 4);
    EXPECT_FALSE(amaranth.attributes.has("VALSOU"));
    EXPECT_EQ(amaranth.attributes.code("CATWRK"), 2);
    EXPECT_EQ(amaranth.geometry.primitive, Primitive::point);
    EXPECT_FALSE(r.feature(712).quapos.has_value());
    EXPECT_EQ(r.feature(712).attributes.number("VALSOU"), 2.1);
    EXPECT_EQ(r.feature(702).attributes.number("VALSOU"), -1.4); // changed by the update
    EXPECT_EQ(r.feature(701).attributes.number("VALSOU"), -1.8);
    EXPECT_EQ(r.feature(721).attributes.number("VALSOU"), 1.4); // inserted by it
    EXPECT_EQ(r.feature(611).attributes.codes("COLOUR"), (std::vector<int>{6, 2}));
    EXPECT_EQ(days_since_update(r.cell, {2026, 4, 30}), 10);
    EXPECT_EQ(days_since_update(r.cell, {2026, 4, 19}), -1);
    Cell undated = r.cell;
    undated.issued = "JULY0918";
    EXPECT_FALSE(days_since_update(undated, {2026, 4, 30}).has_value());
}

TEST(ReadCell, UpdatesInOtherLettersAndFolders) {
    const std::string base = demo_bytes("000"), update = demo_bytes("001");
    EXPECT_EQ(read_files({{"X14DEMO1.000", base}, {"x14demo1.001", update}}).cell.update, 1);
    EXPECT_EQ(
        read_files({{"X14DEMO1/0/X14DEMO1.000", base}, {"X14DEMO1/1/X14DEMO1.001", update}}).cell.update, 1);
    const Read alone = read_files({{"X14DEMO1.000", base}});
    EXPECT_EQ(alone.cell.update, 0);
    EXPECT_FALSE(alone.has(721));
}

TEST(FindCells, AnUpdateInTwoDifferingCopiesIsRefusedWhicheverComesFirst) {
    const std::string base = demo_bytes("000"), update = demo_bytes("001"), zeros(300, '\0');
    const auto outcome = [&](const std::string& beside, const std::string& elsewhere) {
        const support::TemporaryFolder folder;
        folder.file("0/X14DEMO1.000", base);
        folder.file("0/X14DEMO1.001", beside);
        folder.file("1/X14DEMO1.001", elsewhere);
        const auto found = find_cells({folder.path()});
        Diagnostics said;
        return read_cell(found.at(0), said).update;
    };
    EXPECT_THROW(outcome(update, zeros), Failure);
    EXPECT_THROW(outcome(zeros, update), Failure);
    EXPECT_THROW(outcome(update, update + " "), Failure);
    EXPECT_EQ(outcome(update, update), 1); // the same bytes twice are one update
}

TEST(ReadCell, UpdatesThatDoNotFit) {
    const std::string base = demo_bytes("000"), update = demo_bytes("001");
    expect_distrusted(read_files({{"X14DEMO1.000", base}, {"X14DEMO1.002", update}}), 0);
    for (const std::string& bad :
         {first_update(draft()), std::string(), std::string(500, '\x5a'), base, update.substr(0, 400)})
        expect_distrusted(read_files({{"X14DEMO1.000", base}, {"X14DEMO1.001", bad}}), 0);
    const Read twice =
        read_files({{"X14DEMO1.000", base}, {"X14DEMO1.001", update}, {"X14DEMO1.002", update}});
    expect_distrusted(twice, 1);
    EXPECT_TRUE(twice.has(721));
}

TEST(ReadCell, DamagedBases) {
    const std::string base = demo_bytes("000");
    expect_base_refused(base.substr(0, base.size() - 7));
    expect_base_refused("");
    expect_base_refused("This is a letter, not a chart.\n");
    expect_base_refused("\x89PNG\r\n\x1a\n" + std::string(2000, '\x11'));
    std::size_t last = 0;
    RecordReader reader(base);
    for (Record record; reader.next(record);)
        last = record.offset;
    expect_distrusted(read_files({{"X14DEMO1.000", base.substr(0, last)}}), 0);
}

TEST(ReadCell, WrongParametersAreRefused) {
    auto d = draft();
    d.header.comf = 1'000'000;
    expect_base_refused(d.bytes());
    d = draft();
    d.header.somf = 100;
    expect_base_refused(d.bytes());
    d = draft();
    d.header.hdat = 1;
    expect_base_refused(d.bytes());
}

TEST(FindCells, WhatIsNoSource) {
    const support::TemporaryFolder folder;
    expect_refused({folder.path() / "nothing.000"});
    expect_refused({folder.path()});
    const auto one = folder.file("a/X14DEMO1.000", demo_bytes("000"));
    const auto two = folder.file("b/x14demo1.000", demo_bytes("000"));
    expect_refused({one, two});
    expect_refused({folder.path()});
    EXPECT_EQ(find_cells({one, one}).size(), 1U); // one file named twice is one file
    expect_refused({folder.file("a/X14DEMO1.001", demo_bytes("001"))});
}

// A folder that may hold an update, or a link that should be one, is not the same as no update.
TEST(FindCells, WhatCannotBeLookedIntoIsRefused) {
    const support::TemporaryFolder folder;
    const auto base = folder.file("X14TEST1.000", draft().bytes());
    std::filesystem::create_symlink(folder.path() / "nowhere", folder.path() / "X14TEST1.001");
    for (const auto& source : {folder.path(), base}) {
        try {
            find_cells({source});
            FAIL() << source;
        } catch (const Failure& failure) {
            EXPECT_EQ(failure.fault(), Fault::data);
            EXPECT_NE(std::string(failure.what()).find("X14TEST1.001"), std::string::npos) << failure.what();
        }
    }
    std::filesystem::remove(folder.path() / "X14TEST1.001");
    EXPECT_EQ(find_cells({folder.path()}).size(), 1U);
    // Other links that lead nowhere are nobody's business.
    std::filesystem::create_symlink(folder.path() / "nowhere", folder.path() / "notes.txt");
    EXPECT_EQ(find_cells({folder.path()}).size(), 1U);
}

TEST(ReadCell, DepthsAreMetres) {
    auto d = draft();
    const Read metres = read_files({{"X14TEST1.000", d.bytes()}});
    EXPECT_EQ(metres.feature(2).attributes.number("VALSOU"), 3.0);
    EXPECT_FALSE(metres.feature(3).attributes.number("VALSOU").has_value());
    EXPECT_FALSE(metres.feature(3).attributes.has("VALSOU"));
    EXPECT_FALSE(metres.feature(4).attributes.has("VALSOU"));
    d.header.duni = 3;
    const Read feet = read_files({{"X14TEST1.000", d.bytes()}});
    // 1 ft = 0.3048 m (international foot, 1959; from memory)
    EXPECT_NEAR(feet.feature(2).attributes.number("VALSOU").value(), 0.9144, 1e-12);
    EXPECT_NEAR(feet.feature(1).attributes.number("DRVAL1").value(), 0.6096, 1e-12);
    EXPECT_NEAR(feet.feature(1).attributes.number("DRVAL2").value(), 1.524, 1e-12);
    ASSERT_EQ(feet.feature(5).geometry.depths_m.size(), 2U);
    EXPECT_NEAR(feet.feature(5).geometry.depths_m[0], 0.9144, 1e-12);
    EXPECT_NEAR(feet.feature(5).geometry.depths_m[1], -0.4572, 1e-12);
    d = draft();
    d.features[1].attributes = {{"VALSOU", "2147483641"}};
    const Read unknown = read_files({{"X14TEST1.000", d.bytes()}});
    EXPECT_FALSE(unknown.feature(2).attributes.has("VALSOU"));
    EXPECT_FALSE(unknown.said.empty());
}

TEST(ReadCell, SoundingsOutOfRangeAreUnknown) {
    auto d = draft();
    d.features[4].soundings[0].depth_m = 20000.0; // deeper than any sea
    const Read r = read_files({{"X14TEST1.000", d.bytes()}});
    ASSERT_EQ(r.feature(5).geometry.depths_m.size(), 2U);
    EXPECT_TRUE(std::isnan(r.feature(5).geometry.depths_m[0]));
    EXPECT_EQ(r.feature(5).geometry.depths_m[1], -1.5);
    EXPECT_FALSE(r.said.empty());
}

TEST(ReadCell, DamagedBytesAreReadOrRefused) {
    const std::string base = demo_bytes("000"), update = demo_bytes("001");
    std::mt19937 random(157);
    int noticed = 0;
    for (int round = 0; round < 60; ++round) {
        std::string bad_base = base, bad_update = update;
        std::string& bytes = round % 2 == 0 ? bad_base : bad_update;
        for (int i = 0; i < 3; ++i)
            bytes[random() % bytes.size()] = static_cast<char>(random() % 256);
        try {
            const Read r = read_files({{"X14DEMO1.000", bad_base}, {"X14DEMO1.001", bad_update}});
            noticed += r.said.empty() ? 0 : 1;
            EXPECT_TRUE(r.cell.update == 1 || !r.cell.distrust.empty()) << round;
        } catch (const Failure&) {
            ++noticed;
        }
    }
    EXPECT_GT(noticed, 30);
}

TEST(ReadCell, GeometryKeepsItsKind) {
    const Read r = read_files({{"X14TEST1.000", draft().bytes()}});
    EXPECT_EQ(r.feature(1).geometry.primitive, Primitive::area);
    ASSERT_EQ(r.feature(1).geometry.polygons.size(), 1U);
    EXPECT_EQ(r.feature(6).cls, "LNDARE");
    EXPECT_EQ(r.feature(6).geometry.primitive, Primitive::point);
    EXPECT_EQ(r.feature(7).cls, "DEPARE");
    EXPECT_EQ(r.feature(7).geometry.primitive, Primitive::line);
    ASSERT_EQ(r.feature(7).geometry.lines.size(), 1U);
    EXPECT_EQ(r.feature(7).geometry.lines[0].size(), 3U);
    EXPECT_TRUE(r.feature(7).geometry.polygons.empty());
    const Geometry& soundings = r.feature(5).geometry;
    ASSERT_EQ(soundings.points.size(), 2U);
    EXPECT_NEAR(soundings.points[1].lon_deg, -27.97, 1e-9);
    EXPECT_EQ(soundings.depths_m, (std::vector<double>{3.0, -1.5}));
}

TEST(ReadCell, ReissuedBaseTakesItsNextUpdate) {
    auto d = draft();
    d.header.update = 2;
    const Read r = read_files({{"X14TEST1.000", d.bytes()}, {"X14TEST1.003", first_update(d)}});
    EXPECT_EQ(r.cell.update, 3);
    EXPECT_TRUE(r.cell.distrust.empty());
    EXPECT_EQ(r.feature(2).attributes.number("VALSOU"), 2.5);
}

TEST(ReadCell, CancelledCellCoversNothing) {
    auto d = draft();
    d.add_area("M_COVR", {{{-28, 46}, {-27.9, 46}, {-27.9, 46.1}, {-28, 46.1}}}, {{"CATCOV", "1"}});
    cellwriter::UpdateDraft update(d.compile());
    update.header.edition = 0;
    Read r = read_files({{"X14TEST1.000", d.bytes()}, {"X14TEST1.001", update.bytes()}});
    EXPECT_TRUE(r.cell.withdrawn);
    lay_out(r.cell, geo::Plane({46.05, -27.95}), r.said);
    EXPECT_TRUE(r.cell.coverage.empty());
}

TEST(Attributes, ListsInEverySpelling) {
    Attributes a;
    for (const char* text : {"4,17", "(2:4,17)", "[\"4\",\"17\"]"}) {
        a.set("NATSUR", text);
        EXPECT_EQ(a.codes("NATSUR"), (std::vector<int>{4, 17})) << text;
        EXPECT_TRUE(a.has_code("NATSUR", 17));
        EXPECT_FALSE(a.has_code("NATSUR", 2));
    }
    a.set("NATSUR", "4");
    EXPECT_EQ(a.codes("NATSUR"), (std::vector<int>{4}));
    a.set("NATSUR", "");
    EXPECT_TRUE(a.codes("NATSUR").empty());
    EXPECT_TRUE(a.codes("NATQUA").empty());
}
