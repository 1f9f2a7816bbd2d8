// Everything a plan may name: exchange sets with their checksums, archives, choosing by coverage.
#include "dangerline/base/error.hpp"
#include "dangerline/chart/record.hpp"
#include "dangerline/chart/sources.hpp"

#include "cellwriter/catalogue.hpp"
#include "cellwriter/cellwriter.hpp"
#include "files/zip_writer.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <map>
#include <random>
#include <set>

using namespace dangerline;
using namespace dangerline::chart;
namespace fs = std::filesystem;

namespace {

cellwriter::CellDraft draft(const std::string& name, double west = -28.0) {
    cellwriter::CellDraft d;
    d.header.dsnm = name + ".000";
    const cellwriter::Ring box{{west, 46}, {west + 0.1, 46}, {west + 0.1, 46.1}, {west, 46.1}};
    d.add_area("M_COVR", {box}, {{"CATCOV", "1"}});
    d.add_area("DEPARE", {box}, {{"DRVAL1", "2"}, {"DRVAL2", "5"}});
    d.add_point("WRECKS", {west + 0.05, 46.05}, {{"VALSOU", "3"}});
    return d;
}

std::string update_of(const cellwriter::CellDraft& base) {
    cellwriter::UpdateDraft update(base.compile());
    update.change(3, {{"VALSOU", "2.5"}});
    return update.bytes();
}

using Files = std::map<std::string, std::string>;

/// An exchange set with one cell, its update and a text.
Files exchange_set() {
    const auto cell = draft("X14TEST1");
    Files files{{"ENC_ROOT/X14TEST1/X14TEST1.000", cell.bytes()},
                {"ENC_ROOT/X14TEST1/X14TEST1.001", update_of(cell)},
                {"ENC_ROOT/README.TXT", "invented"}};
    std::vector<cellwriter::CatalogueLine> lines{{"CATALOG.031", "ASC", "", "", "", "", ""}};
    for (const auto& [name, bytes] : files) {
        std::string written = name.substr(9);
        std::replace(written.begin(), written.end(), '/', '\\');
        const bool text = written.ends_with("TXT");
        lines.push_back({written, text ? "TXT" : "BIN", text ? "" : "46", text ? "" : "-28",
                         text ? "" : "46.1", text ? "" : "-27.9", cellwriter::checksum_text(bytes)});
    }
    files["ENC_ROOT/CATALOG.031"] = cellwriter::catalogue(lines);
    return files;
}

fs::path write(const support::TemporaryFolder& folder, const Files& files) {
    for (const auto& [name, bytes] : files) {
        fs::create_directories((folder.path() / name).parent_path());
        folder.file(name, bytes);
    }
    return folder.path();
}

std::string zip(const Files& files) {
    std::vector<zip_writer::File> all;
    for (const auto& [name, bytes] : files)
        all.push_back({name, bytes});
    return zip_writer::archive(all);
}

struct Read {
    std::vector<Cell> cells;
    Diagnostics said;
    bool says(Severity severity, const std::string& words) const {
        return std::any_of(said.begin(), said.end(), [&](const Diagnostic& d) {
            return d.severity == severity &&
                   (d.what.find(words) != std::string::npos || d.object.find(words) != std::string::npos);
        });
    }
};

Read read(const std::vector<fs::path>& paths) {
    Read r;
    for (const auto& cell : find_sources(paths, r.said).cells)
        r.cells.push_back(read_found_cell(cell, r.said));
    return r;
}

Read read_set(const Files& files) {
    const support::TemporaryFolder folder;
    return read({write(folder, files)});
}

std::string refusal(const std::vector<fs::path>& paths) {
    try {
        read(paths);
    } catch (const Failure& failure) {
        return failure.what();
    }
    return "read";
}

} // namespace

TEST(Sources, ExchangeSetWithAllItsChecksums) {
    const support::TemporaryFolder folder;
    const fs::path root = write(folder, exchange_set());
    for (const auto& named : {root, root / "ENC_ROOT", root / "ENC_ROOT" / "CATALOG.031"}) {
        const Read r = read({named});
        ASSERT_EQ(r.cells.size(), 1U);
        EXPECT_TRUE(r.said.empty()) << r.said[0].what;
        EXPECT_EQ(r.cells[0].update, 1);
        EXPECT_TRUE(r.cells[0].distrust.empty());
    }
}

TEST(Sources, ADifferingChecksumIsSaidAndTheCellNotBelieved) {
    for (const std::string name : {"ENC_ROOT/X14TEST1/X14TEST1.000", "ENC_ROOT/X14TEST1/X14TEST1.001"}) {
        Files files = exchange_set();
        // a depth changes from 3 to 4 (or 2.5 to 2.6): nothing else would notice
        const std::string from = name.ends_with("0") ? "3\x1f" : "2.5\x1f",
                          to = name.ends_with("0") ? "4\x1f" : "2.6\x1f";
        const auto at = files[name].rfind(from);
        ASSERT_NE(at, std::string::npos);
        files[name].replace(at, to.size(), to);
        const Read r = read_set(files);
        EXPECT_TRUE(r.says(Severity::broken, "checksum")) << name;
        EXPECT_FALSE(r.cells.at(0).distrust.empty()) << name;
    }
    Files text = exchange_set();
    text["ENC_ROOT/README.TXT"] = "changed";
    EXPECT_TRUE(read_set(text).cells.at(0).distrust.empty()); // not part of the chart
    const support::TemporaryFolder folder;
    const fs::path root = write(folder, text);
    Diagnostics said;
    const auto found = find_sources({root}, said);
    check_all(*found.cells.at(0).catalogue, said);
    ASSERT_EQ(said.size(), 1U);
    EXPECT_NE(said[0].file.find("README.TXT"), std::string::npos);
}

TEST(Sources, MissingFilesAreSaid) {
    Files files = exchange_set();
    files.erase("ENC_ROOT/X14TEST1/X14TEST1.001");
    const Read update = read_set(files);
    EXPECT_TRUE(update.says(Severity::broken, "X14TEST1/X14TEST1.001"));
    EXPECT_FALSE(update.cells.at(0).distrust.empty());
    files = exchange_set();
    files.erase("ENC_ROOT/README.TXT");
    const Read text = read_set(files);
    EXPECT_TRUE(text.says(Severity::warning, "README.TXT"));
    EXPECT_TRUE(text.cells.at(0).distrust.empty());
    files = exchange_set();
    files.erase("ENC_ROOT/X14TEST1/X14TEST1.000");
    const auto other = draft("X14TEST2", -27.0);
    files["ENC_ROOT/X14TEST2.000"] = other.bytes();
    const Read base = read_set(files);
    EXPECT_TRUE(base.says(Severity::broken, "X14TEST1/X14TEST1.000"));
    EXPECT_TRUE(base.says(Severity::warning, "not named in the catalogue"));
}

TEST(Sources, BrokenCatalogues) {
    Files files = exchange_set();
    const std::string whole = files["ENC_ROOT/CATALOG.031"];
    for (const std::string& bytes :
         {whole.substr(0, whole.size() - 40), std::string("text"), std::string()}) {
        files["ENC_ROOT/CATALOG.031"] = bytes;
        const support::TemporaryFolder folder;
        EXPECT_NE(refusal({write(folder, files)}).find("catalogue can't be read"), std::string::npos);
    }
    const auto with = [&](const std::string& checksum) {
        Files one{{"X14TEST1.000", draft("X14TEST1").bytes()}};
        one["CATALOG.031"] = cellwriter::catalogue({{"X14TEST1.000", "BIN", "", "", "", "", checksum}});
        return read_set(one);
    };
    EXPECT_TRUE(with("").says(Severity::note, "no checksum"));
    EXPECT_TRUE(with("nonsense").says(Severity::warning, "hexadecimal"));
    EXPECT_TRUE(with("nonsense").cells.at(0).distrust.empty());
    EXPECT_FALSE(with("00000000").cells.at(0).distrust.empty());
}

TEST(Sources, TheSameFromAnArchive) {
    const support::TemporaryFolder folder;
    const auto path = folder.file("set.zip", zip(exchange_set()));
    const Read r = read({path});
    ASSERT_EQ(r.cells.size(), 1U);
    EXPECT_TRUE(r.said.empty()) << r.said[0].what;
    EXPECT_EQ(r.cells[0].update, 1);
    EXPECT_EQ(r.cells[0].file, (path / "ENC_ROOT/X14TEST1/X14TEST1.000").string());
    EXPECT_EQ(r.cells[0].features.size(), 3U);
    const auto cell = draft("X14TEST1");
    // the other layout, other letters
    const Read apart = read({folder.file("apart.zip", zip({{"X14TEST1/0/X14TEST1.000", cell.bytes()},
                                                           {"X14TEST1/1/x14test1.001", update_of(cell)}}))});
    EXPECT_EQ(apart.cells.at(0).update, 1);
    EXPECT_NE(refusal({folder.file("none.zip", zip({{"a.txt", "x"}}))}).find("no chart cell"),
              std::string::npos);
    EXPECT_NE(refusal({folder.file("bad.zip", "PK")}).find("damaged"), std::string::npos);
    const auto plain = folder.file("X14TEST1.000", cell.bytes());
    EXPECT_NE(refusal({path, plain}).find("also stands"), std::string::npos);
}

TEST(Sources, VectorSourcesAreToldApart) {
    const support::TemporaryFolder folder;
    const auto notes = folder.file("notes.geojson", "{}");
    fs::create_directories(folder.path() / "shapes");
    folder.file("shapes/WRECKS.shp", "x");
    const auto cell = folder.file("X14TEST1.000", draft("X14TEST1").bytes());
    Diagnostics said;
    const auto found = find_sources({notes, folder.path() / "shapes", cell}, said);
    EXPECT_EQ(found.vectors, (std::vector<fs::path>{notes, folder.path() / "shapes"}));
    EXPECT_EQ(found.cells.size(), 1U);
    EXPECT_FALSE(found.cells[0].catalogue);
    EXPECT_NE(refusal({folder.path() / "none"}).find("no such file"), std::string::npos);
}

TEST(Sources, FoldersInEveryState) {
    const support::TemporaryFolder folder;
    const auto cell = draft("X14TEST1");
    const auto file = folder.file("X14TEST1.000", cell.bytes());
    folder.file("x14test1.001", update_of(cell));
    EXPECT_EQ(read({folder.path(), file, file}).cells.size(), 1U); // one file is one file
    EXPECT_EQ(read({folder.path()}).cells.at(0).update, 1);
    fs::create_directories(folder.path() / "copy");
    folder.file("copy/X14TEST1.000", cell.bytes());
    EXPECT_NE(refusal({folder.path()}).find("also stands"), std::string::npos);
    const support::TemporaryFolder empty, dangling;
    EXPECT_NE(refusal({empty.path()}).find("no chart cell in this folder"), std::string::npos);
    fs::create_symlink(dangling.path() / "nowhere", dangling.path() / "X14TEST1.000");
    EXPECT_NE(refusal({dangling.path()}).find("can't be read"), std::string::npos);
}

TEST(Sources, DamagedBytesNeverDoMoreThanFail) {
    const Files files = exchange_set();
    const std::string catalogue = files.at("ENC_ROOT/CATALOG.031"), cell = draft("X14TEST1").bytes();
    const std::string archive = zip(files);
    const support::TemporaryFolder folder;
    std::mt19937 random(31);
    const auto spoil = [&](std::string bytes) {
        for (int i = 0; i < 3; ++i)
            bytes[random() % bytes.size()] = static_cast<char>(random() % 256);
        if (random() % 4 == 0)
            bytes.resize(random() % bytes.size());
        return bytes;
    };
    int refused = 0;
    for (int i = 0; i < 600; ++i) {
        extent_of_records(spoil(cell));
        std::string name = std::to_string(i);
        name += ".zip";
        const auto path =
            i % 2 == 0 ? folder.file("CATALOG.031", spoil(catalogue)) : folder.file(name, spoil(archive));
        try {
            Diagnostics said;
            if (i % 2 == 0) {
                read_catalogue(path, {path}, said);
            } else {
                const auto found = find_sources({path}, said);
                for (const auto& one : found.cells)
                    extent_of(one);
            }
        } catch (const Failure& failure) {
            ++refused;
            EXPECT_FALSE(failure.complaint().what.empty());
        }
    }
    EXPECT_GT(refused, 50);
}

TEST(Extent, OfRecordsAndTheirUpdates) {
    const auto cell = draft("X14TEST1");
    const auto box = extent_of_records(cell.bytes());
    ASSERT_TRUE(box.has_value());
    EXPECT_NEAR(box->west_deg, -28.0, 1e-9);
    EXPECT_NEAR(box->east_deg, -27.9, 1e-9);
    EXPECT_NEAR(box->south_deg, 46.0, 1e-9);
    EXPECT_NEAR(box->north_deg, 46.1, 1e-9);
    const support::TemporaryFolder folder;
    cellwriter::UpdateDraft update(cell.compile());
    update.inserted.add_point("WRECKS", {-27.5, 46.05}, {{"VALSOU", "1"}});
    folder.file("X14TEST1.001", update.bytes());
    const auto files = find_cells({folder.file("X14TEST1.000", cell.bytes())}).at(0);
    EXPECT_NEAR(extent_of(files)->east_deg, -27.5, 1e-9);
    // an update that can't be walked may lead anywhere
    folder.file("X14TEST1.001", update.bytes().substr(0, 2000));
    EXPECT_FALSE(extent_of(files).has_value());
    folder.file("X14TEST1.001", update_of(cell)); // moves nothing
    EXPECT_NEAR(extent_of(files)->east_deg, -27.9, 1e-9);
    cellwriter::CellDraft soundings;
    soundings.add_soundings({{{-28, 46}, 3.0}, {{-27, 45}, 3.0}});
    EXPECT_EQ(extent_of_records(soundings.bytes()), (LonLatBox{-28, 45, -27, 46}));
    const std::string bytes = cell.bytes();
    EXPECT_EQ(extent_of_records(bytes.substr(0, bytes.size() - 100)), box); // cut behind the coordinates
    // cut between two records before: what is left would have other bounds
    RecordReader reader(bytes);
    std::set<std::size_t> ends;
    while (reader.next())
        ends.insert(reader.offset());
    ASSERT_GT(ends.size(), 8U);
    auto end = ends.begin();
    for (int i = 0; i < 5; ++i)
        EXPECT_FALSE(extent_of_records(bytes.substr(0, *end++)).has_value()) << i;
    EXPECT_FALSE(extent_of_records("text").has_value());
    EXPECT_FALSE(extent_of_records("").has_value());
}

TEST(Extent, BoxesMeetAcrossTheAntimeridian) {
    const LonLatBox fiji{177, -19, 183, -16};
    EXPECT_TRUE(meet(fiji, {-179, -18, -178, -17}));
    EXPECT_TRUE(meet({-179, -18, -178, -17}, fiji));
    EXPECT_FALSE(meet(fiji, {-176, -18, -175, -17}));
    EXPECT_FALSE(meet({-176, -18, -175, -17}, fiji));
    EXPECT_TRUE(meet(fiji, {170, -18, 177, -17})); // edges count
    EXPECT_FALSE(meet(fiji, {177, -15, 183, -14}));
    EXPECT_TRUE(meet({-180, -90, 180, 90}, fiji));
    EXPECT_TRUE(meet({358, 0, 359, 1}, {-2, 0, -1.5, 1}));
}

TEST(Extent, BoxesAlongARouteHoldEverythingInReach) {
    const std::vector<geo::Position> route{{179.9, 60}, {-179.8, 60.1}};
    const auto boxes = boxes_along(route, 5556.0);
    ASSERT_EQ(boxes.size(), 1U);
    for (int course = 0; course < 360; course += 5)
        for (const auto& place : route) {
            const auto p = geo::geodesic_destination(place, course, 5556.0);
            EXPECT_TRUE(meet(boxes[0], {p.lon_deg, p.lat_deg, p.lon_deg, p.lat_deg})) << course;
        }
    EXPECT_FALSE(meet(boxes[0], {179.5, 60, 179.5, 60}));
    const std::vector<geo::Position> mark{{-28, 46}};
    EXPECT_EQ(boxes_along(mark, 100.0).size(), 1U);
    EXPECT_TRUE(boxes_along({}, 100.0).empty());
}

TEST(Extent, OfAGeometryRunsOnTheShortWayRound) {
    Geometry area;
    EXPECT_FALSE(bounds_of(area));
    EXPECT_FALSE(comes_near(area, std::vector<LonLatBox>{{-360, -90, 360, 90}}));
    area.polygons = {{{{179, 10}, {-179, 10}, {-179, 11}, {179, 10}}}};
    EXPECT_EQ(bounds_of(area), (LonLatBox{179, 10, 181, 11}));
    EXPECT_TRUE(comes_near(area, std::vector<LonLatBox>{{0, 0, 1, 1}, {-180, 10.5, -179.5, 10.6}}));
    EXPECT_FALSE(comes_near(area, std::vector<LonLatBox>{{0, 10, 1, 11}}));
    EXPECT_FALSE(comes_near(area, {}));
}

TEST(Choose, OnlyCellsThatMeetTheBoxesStay) {
    const support::TemporaryFolder folder;
    for (int i = 0; i < 20; ++i)
        folder.file("X14TST" + std::to_string(10 + i) + ".000",
                    draft("X14TST" + std::to_string(10 + i), -28.0 + i * 0.2).bytes());
    folder.file("X14CUT99.000", draft("X14CUT99").bytes().substr(0, 1900));
    Diagnostics said;
    auto found = find_sources({folder.path()}, said);
    ASSERT_EQ(found.cells.size(), 21U);
    const std::vector<geo::Position> route{{-27.35, 46.05}, {-27.05, 46.05}}; // from cell 3 to cell 5
    choose_cells(found, boxes_along(route, 100.0), said);
    std::set<std::string> names;
    for (const auto& cell : found.cells)
        names.insert(cell.files.base.stem().string());
    // the broken one stays: reading it says what is wrong
    EXPECT_EQ(names, (std::set<std::string>{"X14CUT99", "X14TST13", "X14TST14"}));
    ASSERT_EQ(said.size(), 1U);
    EXPECT_NE(said[0].what.find("18 of 21"), std::string::npos);
    choose_cells(found, {}, said);
    EXPECT_EQ(found.cells.size(), 1U);
}

TEST(Choose, ACataloguesLimitsCountAndBadOnesDoNot) {
    const auto kept = [](const cellwriter::CatalogueLine& line, const LonLatBox& wanted) {
        const support::TemporaryFolder folder;
        folder.file("X14TEST1.000", draft("X14TEST1").bytes());
        folder.file("CATALOG.031", cellwriter::catalogue({line}));
        Diagnostics said;
        auto found = find_sources({folder.path()}, said);
        choose_cells(found, std::vector<LonLatBox>{wanted}, said);
        return found.cells.size();
    };
    const LonLatBox here{-28, 46, -27.9, 46.1}, there{10, 10, 11, 11};
    EXPECT_EQ(kept({"X14TEST1.000", "BIN", "10", "10", "11", "11", ""}, there), 1U);
    EXPECT_EQ(kept({"X14TEST1.000", "BIN", "10", "10", "11", "11", ""}, here), 0U);
    EXPECT_EQ(kept({"X14TEST1.000", "BIN", "11", "10", "10", "11", ""}, here), 1U); // south over north
    EXPECT_EQ(kept({"X14TEST1.000", "BIN", "91", "10", "92", "11", ""}, here), 1U); // out of range
    EXPECT_EQ(kept({"X14TEST1.000", "BIN", "", "", "", "", ""}, here), 1U);
    EXPECT_EQ(kept({"X14TEST1.000", "BIN", "", "", "", "", ""}, there), 0U);
}
