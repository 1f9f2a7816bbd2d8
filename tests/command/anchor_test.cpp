// The command anchor as people call it.

#include <gtest/gtest.h>

#include <sstream>

#include "dangerline/command.hpp"
#include "support/support.hpp"

using dangerline::command::program;

namespace {

struct Ran {
    int code = 0;
    std::string out, err;
};

Ran run(const std::vector<std::string>& words) {
    std::ostringstream out, err;
    const int code = program(words, out, err);
    return {code, out.str(), err.str()};
}

std::string demo(const std::string& name) {
    return (support::testdata() / "demo" / name).string();
}

} // namespace

TEST(AnchorCommand, tells_each_mark_and_writes_its_overlay) {
    const support::TemporaryFolder folder;
    const Ran r = run({"anchor", demo("anchor.toml"), "--out", (folder.path() / "out").string()});
    EXPECT_EQ(r.code, 0) << r.err;
    for (const char* words :
         {"Anchor: flat fluke, 7.5 kg, 80 m of rope, 5 m of chain; bow 0.8 m above the water",
          "Ledge Mark: ", "low water while anchored", "No place to anchor: outfall pipe \"Lanner Outfall\"",
          "Beside the circle: wreck \"Wreck of the Amaranth\"", "own position ±10 m", "not for navigation"})
        EXPECT_NE(r.out.find(words), std::string::npos) << words << '\n' << r.out;
    EXPECT_TRUE(std::filesystem::exists(folder.path() / "out/anchor.geojson"));
    EXPECT_TRUE(std::filesystem::exists(folder.path() / "out/manifest.json"));
}

TEST(AnchorCommand, the_same_bytes_again) {
    const support::TemporaryFolder folder;
    for (const char* out : {"a", "b"})
        EXPECT_EQ(run({"anchor", demo("anchor.toml"), "--out", (folder.path() / out).string()}).code, 0);
    EXPECT_EQ(support::read_file(folder.path() / "a/anchor.geojson"),
              support::read_file(folder.path() / "b/anchor.geojson"));
}

TEST(AnchorCommand, a_plan_without_anchor_is_refused_and_nothing_is_written) {
    const support::TemporaryFolder folder;
    const Ran r = run({"anchor", demo("plan.toml"), "--out", (folder.path() / "out").string()});
    EXPECT_EQ(r.code, 2);
    EXPECT_NE(r.err.find("boat.anchor"), std::string::npos) << r.err;
    EXPECT_FALSE(std::filesystem::exists(folder.path() / "out"));
}
