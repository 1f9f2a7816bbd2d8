#include "dangerline/files/output_set.hpp"

#include "dangerline/base/error.hpp"
#include "support/support.hpp"

#include <algorithm>
#include <gtest/gtest.h>
#include <nlohmann/json.hpp>
#include <stdexcept>

namespace dangerline::files {
namespace {

namespace fs = std::filesystem;
using support::read_file;
using support::TemporaryFolder;

std::vector<std::string> names_in(const fs::path& folder) {
    std::vector<std::string> names;
    for (const auto& entry : fs::directory_iterator(folder))
        names.push_back(entry.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
}

using Names = std::vector<std::string>;

std::string message_of(const fs::path& folder) {
    try {
        OutputSet set(folder);
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::data);
        return failure.what();
    }
    return "";
}

TEST(OutputSet, WritesFilesAndAManifestThatTellsThemApart) {
    const TemporaryFolder folder;
    const fs::path out = folder.path() / "made" / "on the way";
    OutputSet set(out);
    set.add("a.geojson", "123456789");
    set.add("b.geojson", "");
    const auto paths = set.commit({"9.8.7", {{"command", "zones \"x\"\n"}}});
    EXPECT_EQ(paths, (std::vector<fs::path>{out / "a.geojson", out / "b.geojson", out / "manifest.json"}));
    EXPECT_EQ(names_in(out), (Names{"a.geojson", "b.geojson", "manifest.json"}));
    EXPECT_EQ(read_file(out / "a.geojson"), "123456789");
    EXPECT_EQ(read_file(out / "b.geojson"), "");
    const auto manifest = nlohmann::json::parse(read_file(out / "manifest.json"));
    EXPECT_EQ(manifest["program"], "dangerline");
    EXPECT_EQ(manifest["version"], "9.8.7");
    EXPECT_EQ(manifest["command"], "zones \"x\"\n");
    ASSERT_EQ(manifest["files"].size(), 2U);
    EXPECT_EQ(manifest["files"][0]["name"], "a.geojson");
    EXPECT_EQ(manifest["files"][0]["bytes"], 9);
    // Check value of CRC-32 over "123456789" (ITU-T V.42 / ISO 3309 polynomial), from memory.
    EXPECT_EQ(manifest["files"][0]["crc32"], "cbf43926");
    EXPECT_EQ(manifest["files"][1]["crc32"], "00000000");
}

TEST(OutputSet, AFileWrittenPieceByPieceIsLikeOneAddedAtOnce) {
    const TemporaryFolder folder;
    const fs::path whole = folder.path() / "whole", pieces = folder.path() / "pieces";
    OutputSet a(whole), b(pieces);
    a.add("a.geojson", "123456789");
    for (const char* piece : {"1234", "", "56789"})
        b.append("a.geojson", piece);
    EXPECT_THROW(b.add("a.geojson", "x"), std::invalid_argument);
    EXPECT_THROW(a.append("a.geojson", "x"), std::invalid_argument);
    a.commit({"1", {}});
    b.commit({"1", {}});
    EXPECT_EQ(read_file(pieces / "a.geojson"), "123456789");
    EXPECT_EQ(read_file(pieces / "manifest.json"), read_file(whole / "manifest.json"));
}

TEST(OutputSet, SameInputSameBytes) {
    const TemporaryFolder folder;
    for (const char* name : {"one", "two"}) {
        OutputSet set(folder.path() / name);
        set.add("a", "text");
        set.commit({"1", {{"k", "v"}}});
    }
    EXPECT_EQ(read_file(folder.path() / "one/manifest.json"), read_file(folder.path() / "two/manifest.json"));
}

TEST(OutputSet, WithoutCommitEarlierOutputsStay) {
    const TemporaryFolder folder;
    folder.file("a", "old");
    folder.file("manifest.json", "old manifest");
    {
        OutputSet set(folder.path());
        set.add("a", "new");
        set.add("b", "new");
        EXPECT_EQ(read_file(folder.path() / "a"), "old");
    }
    EXPECT_EQ(names_in(folder.path()), (Names{"a", "manifest.json"}));
    EXPECT_EQ(read_file(folder.path() / "a"), "old");
    EXPECT_EQ(read_file(folder.path() / "manifest.json"), "old manifest");
}

TEST(OutputSet, WithoutCommitFoldersMadeForItGoAgain) {
    const TemporaryFolder folder;
    {
        OutputSet set(folder.path() / "x/y");
        set.add("a", "new");
        EXPECT_TRUE(fs::exists(folder.path() / "x/y"));
    }
    EXPECT_EQ(names_in(folder.path()), Names{});
}

TEST(OutputSet, ReplacesEarlierOutputsAndLeavesOthers) {
    const TemporaryFolder folder;
    folder.file("a", "old and longer");
    folder.file("notes.txt", "mine");
    folder.file(".dangerline-dead.part", "left by a run that died");
    OutputSet set(folder.path());
    set.add("a", "new");
    set.commit({"1", {}});
    EXPECT_EQ(names_in(folder.path()), (Names{"a", "manifest.json", "notes.txt"}));
    EXPECT_EQ(read_file(folder.path() / "a"), "new");
    EXPECT_EQ(read_file(folder.path() / "notes.txt"), "mine");
}

TEST(OutputSet, ASecondRunIsRefusedUntilTheFirstEnds) {
    const TemporaryFolder folder;
    {
        OutputSet first(folder.path());
        first.add("a", "first");
        EXPECT_NE(message_of(folder.path()).find("another run is writing here"), std::string::npos);
        first.commit({"1", {}});
        EXPECT_EQ(message_of(folder.path()), ""); // released by the commit, not only by the destructor
    }
    EXPECT_EQ(read_file(folder.path() / "a"), "first");
}

TEST(OutputSet, ARefusedSecondRunDoesNotTouchTheFirstOnesTemporaries) {
    const TemporaryFolder folder;
    OutputSet first(folder.path());
    first.add("a", "first");
    message_of(folder.path());
    first.commit({"1", {}});
    EXPECT_EQ(read_file(folder.path() / "a"), "first");
}

TEST(OutputSet, FolderBehindARegularFileIsRefused) {
    const TemporaryFolder folder;
    folder.file("plain", "x");
    for (const char* name : {"plain", "plain/out", "plain/out/deeper"}) {
        const std::string message = message_of(folder.path() / name);
        EXPECT_NE(message.find("plain is a file"), std::string::npos) << message;
        EXPECT_NE(message.find("Try: "), std::string::npos) << message;
    }
    EXPECT_EQ(names_in(folder.path()), Names{"plain"});
    EXPECT_NE(message_of("").find("no name"), std::string::npos);
}

TEST(OutputSet, AFolderThatCannotBeWrittenIsRefused) {
    // The kernel refuses new files in there to every user, root included.
    EXPECT_NE(message_of("/proc/self/fdinfo").find("can't be written"), std::string::npos);
    EXPECT_NE(message_of("/proc/self/fdinfo/out").find("can't be made"), std::string::npos);
}

TEST(OutputSet, AFolderInTheWayIsRefusedBeforeAnythingIsTouched) {
    const TemporaryFolder folder;
    folder.file("manifest.json", "old manifest");
    folder.file("a", "old");
    fs::create_directory(folder.path() / "b");
    {
        OutputSet set(folder.path());
        set.add("a", "new");
        set.add("b", "new");
        EXPECT_THROW(set.commit({"1", {}}), Failure);
    }
    EXPECT_EQ(read_file(folder.path() / "a"), "old");
    EXPECT_EQ(read_file(folder.path() / "manifest.json"), "old manifest");
    EXPECT_EQ(names_in(folder.path()), (Names{"a", "b", "manifest.json"}));
}

TEST(OutputSet, AFailureHalfWayLeavesNoManifest) {
    const TemporaryFolder folder;
    folder.file("manifest.json", "old manifest");
    {
        OutputSet set(folder.path());
        set.add("a", "new");
        set.add("b", "new");
        fs::remove(folder.path() / ".dangerline-b.part"); // as a broken disk would
        EXPECT_THROW(set.commit({"1", {}}), Failure);
    }
    EXPECT_EQ(names_in(folder.path()), Names{"a"});
}

TEST(OutputSet, MisuseIsRefused) {
    const TemporaryFolder folder;
    OutputSet set(folder.path());
    for (const char* name : {"", ".", "..", ".hidden", "a/b", "/a", "manifest.json"})
        EXPECT_THROW(set.add(name, ""), std::invalid_argument) << name;
    set.add("a", "");
    EXPECT_THROW(set.add("a", ""), std::invalid_argument);
    EXPECT_THROW(set.commit({"1", {{"files", "x"}}}), std::invalid_argument);
    set.commit({"1", {}});
    EXPECT_THROW(set.commit({"1", {}}), std::invalid_argument);
    EXPECT_THROW(set.add("b", ""), std::invalid_argument);
}

TEST(OutputSet, TextThatIsNotUtf8DoesNotCostTheRun) {
    const TemporaryFolder folder;
    OutputSet set(folder.path());
    set.commit({"1", {{"plan", "caf\xe9"}}});
    EXPECT_EQ(nlohmann::json::parse(read_file(folder.path() / "manifest.json"))["plan"], "caf\xef\xbf\xbd");
}

} // namespace
} // namespace dangerline::files
