// Files inside archives, archives that are damaged or hostile, checksums.
#include "dangerline/base/error.hpp"
#include "dangerline/files/packed.hpp"

#include "files/zip_writer.hpp"
#include "support/support.hpp"

#include <gtest/gtest.h>

using namespace dangerline;
using namespace dangerline::files;

namespace {

std::string refusal(const std::filesystem::path& path, bool read = false) {
    try {
        for (const auto& file : packed_files(path))
            if (read)
                read_bytes(file);
    } catch (const Failure& failure) {
        EXPECT_EQ(failure.fault(), Fault::data);
        return failure.what();
    }
    return "read";
}

bool holds(const std::string& text, const std::string& part) {
    return text.find(part) != std::string::npos;
}

} // namespace

TEST(Packed, Checksum) {
    EXPECT_EQ(crc32("123456789"), 0xCBF43926U); // check value of CRC-32 (ISO-HDLC), from memory
    EXPECT_EQ(crc32(""), 0U);
}

TEST(Packed, FilesAreListedAndRead) {
    const support::TemporaryFolder folder;
    const std::string large(300'000, 'x');
    const auto zip =
        folder.file("two charts.ZIP",
                    zip_writer::archive({{"b/B.000", large, 0, true}, {"a.txt", "hello"}, {"b/empty", ""}}));
    const auto files = packed_files(zip);
    ASSERT_EQ(files.size(), 3U);
    EXPECT_EQ(files[0], zip / "a.txt");
    EXPECT_EQ(read_bytes(zip / "a.txt"), "hello");
    EXPECT_EQ(read_bytes(zip / "b/B.000"), large);
    EXPECT_EQ(read_bytes(zip / "b/empty"), "");
    EXPECT_EQ(archive_of(zip / "b/B.000"), zip);
    EXPECT_FALSE(archive_of(zip).has_value());
    EXPECT_FALSE(archive_of(folder.path() / "none.zip" / "x").has_value());
    EXPECT_THROW(read_bytes(zip / "none"), Failure);
    EXPECT_THROW(read_bytes(folder.path() / "none"), Failure);
    EXPECT_EQ(read_bytes(folder.file("plain", "x")), "x");
}

TEST(Packed, DamageIsRefused) {
    const support::TemporaryFolder folder;
    const std::string good = zip_writer::archive({{"a.txt", std::string(5000, 'a')}});
    EXPECT_EQ(refusal(folder.file("good.zip", good), true), "read");
    EXPECT_TRUE(holds(refusal(folder.file("text.zip", "no archive")), "damaged"));
    EXPECT_TRUE(holds(refusal(folder.file("none.zip", "")), "damaged"));
    EXPECT_TRUE(holds(refusal(folder.file("cut.zip", good.substr(0, 3000)), true), "damaged"));
    for (const bool deflated : {false, true}) {
        std::string content;
        for (int i = 0; i < 3000; ++i)
            content += std::to_string(i * i);
        const std::string whole = zip_writer::archive({{"a.txt", content, 0, deflated}});
        for (std::size_t at = 100; at < 4000; at += 371) {
            std::string flipped = whole;
            flipped[at] = static_cast<char>(flipped[at] ^ 1);
            EXPECT_TRUE(holds(refusal(folder.file("flipped.zip", flipped), true), "damaged")) << at;
            std::filesystem::remove(folder.path() / "flipped.zip");
        }
    }
}

TEST(Packed, HostileArchivesAreRefused) {
    const support::TemporaryFolder folder;
    for (const char* name : {"../out.000", "a/../../out.000", "/etc/out.000", "a\\..\\out.000"})
        EXPECT_NE(refusal(folder.file("out.zip", zip_writer::archive({{name, "x"}})), true), "read") << name;
    EXPECT_TRUE(
        holds(refusal(folder.file("twice.zip", zip_writer::archive({{"a", "x"}, {"a", "y"}}))), "twice"));
    // a small file that swells beyond its word
    EXPECT_TRUE(
        holds(refusal(folder.file("swells.zip",
                                  zip_writer::archive({{"a", std::string(1'000'000, 'x'), 1000, true}})),
                      true),
              "damaged"));
    // a file that says it is larger than the bound
    EXPECT_TRUE(
        holds(refusal(folder.file("bomb.zip", zip_writer::archive({{"a", "x", 0x20000000}}))), "256 MB"));
}
