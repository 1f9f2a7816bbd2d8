// Files as they stand in folders or inside zip archives, and their checksums.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace dangerline::files {

/// Bounds on what is taken out of an archive: a small file that swells without end is refused.
inline constexpr std::uint64_t largest_packed_file = 256ULL << 20; ///< bytes, unpacked
inline constexpr std::uint64_t largest_archive = 8ULL << 30;       ///< bytes, all files unpacked

/// A regular file whose name ends in .zip, in any letter case.
bool is_archive(const std::filesystem::path& path);

/// The archive in a path that goes on behind it ("charts.zip/ENC_ROOT/X.000"); nothing for other paths.
std::optional<std::filesystem::path> archive_of(const std::filesystem::path& path);

/// Files in an archive as paths that begin with its own, sorted; folders left out. Nothing is ever written to
/// disk, so names with ".." or a root can't do harm; they are refused all the same, as no chart producer
/// writes them. Failure (data): not a zip archive, damaged, one file twice, larger than the bounds, or of the
/// kind for more than 4 GB or 65,534 files (zip64).
std::vector<std::filesystem::path> packed_files(const std::filesystem::path& archive);

/// The bytes of a file, also inside an archive. Failure (data): can't be read, its checksum in the archive is
/// wrong, encrypted, packed otherwise than stored or deflated, larger than the bound.
std::string read_bytes(const std::filesystem::path& path);
/// The same into memory that is used again.
void read_bytes(const std::filesystem::path& path, std::string& into);

/// CRC-32 as in IEEE 802.3 and zip, which S-57 uses too (S-57 Ed 3.1 part 3, 3.4).
std::uint32_t crc32(std::string_view bytes);

} // namespace dangerline::files
