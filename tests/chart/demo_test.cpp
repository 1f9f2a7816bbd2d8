// The demo cell: made again from its text it has the same bytes, and nothing is wrong with it.
#include "dangerline/chart/prescan.hpp"

#include "cellwriter/cell_text.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

#include <algorithm>

using namespace dangerline::chart;

namespace {

const std::filesystem::path folder = support::testdata() / "demo";

} // namespace

TEST(Demo, IsMadeAgainByteByByte) {
    for (const char* name : {"X14DEMO1.000", "X14DEMO1.001", "X13DEMO2.000"}) {
        const std::string made = cellwriter::cell_from_text(folder / (std::string(name) + ".txt"));
        EXPECT_TRUE(made == support::read_file(folder / name)) << name << ": run cellmaker again";
    }
}

TEST(Demo, HasNoFaults) {
    const std::string base = support::read_file(folder / "X14DEMO1.000");
    const std::string update = support::read_file(folder / "X14DEMO1.001");
    const Prescan scan = prescan("X14DEMO1.000", base, {{"X14DEMO1.001", 1, update}});
    EXPECT_TRUE(scan.faults.empty()) << scan.faults[0].text;
    EXPECT_EQ(scan.updates_usable(), 1);
    EXPECT_EQ(scan.header.sdat, 23);
    EXPECT_EQ(scan.header.vdat, 17);
    EXPECT_EQ(scan.header.cscl, 20000U);
    const FeatureSummary* amaranth = scan.find({65535, 711, 1});
    ASSERT_NE(amaranth, nullptr);
    EXPECT_EQ(amaranth->worst_quapos, 4);
    EXPECT_EQ(amaranth->presence(179), Presence::empty);
    EXPECT_NE(scan.find({65535, 721, 1}), nullptr); // inserted by the update
    EXPECT_EQ(std::count_if(scan.features.begin(), scan.features.end(),
                            [](const FeatureSummary& f) { return f.grup == 1; }),
              19);
}

TEST(DemoText, FaultsAreSaidWithTheirLine) {
    const support::TemporaryFolder made;
    const auto message = [&](const std::string& text) {
        try {
            cellwriter::cell_from_text(made.file("cell.txt", "cell X14TEST1.000\n" + text));
        } catch (const std::invalid_argument& error) {
            return std::string(error.what());
        }
        return std::string("no fault");
    };
    EXPECT_EQ(message("point WRECKS : 1,2\n"), "no fault");
    EXPECT_EQ(message("pont WRECKS : 1,2\n"), "cell.txt:2: \"pont\" is no statement");
    EXPECT_EQ(message("point WRECKS VALSU=2 : 1,2\n"), "cell.txt:2: attribute VALSU is not known");
    EXPECT_EQ(message("chain A 0,0\n  5,5\nline COALNE : A 4;5\n"), "cell.txt:4: \"4;5\" is no position");
    EXPECT_EQ(message("delete 4\n"), "cell.txt:2: only an update can delete");
}
