// Reading zip archives. Private to the room.
//
// GDAL reads them too, but leaves out names with ".." without a word and does not compare the checksum of
// files stored without compression (3.6.2, measured).
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <string>

namespace dangerline::files {

/// One line of the central directory.
struct ZipEntry {
    int method = 0; ///< 0 stored, 8 deflated
    bool encrypted = false;
    std::uint32_t checksum = 0;
    std::uint32_t packed_size = 0;
    std::uint32_t size = 0;
    std::uint32_t offset = 0; ///< of the local header
};

/// By name; folders are left out. Throws std::runtime_error with what is wrong.
std::map<std::string, ZipEntry> read_directory(const std::filesystem::path& archive);

/// The bytes of one entry, checked against size and checksum. Throws std::runtime_error.
std::string unpack(const std::filesystem::path& archive, const ZipEntry& entry);

} // namespace dangerline::files
