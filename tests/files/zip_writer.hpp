// Zip archives for tests, every byte of which can be spoiled.
#pragma once

#include "dangerline/files/packed.hpp"

#include <cstdint>
#include <string>
#include <utility>
#include <vector>

#include <zlib.h>

namespace zip_writer {

struct File {
    std::string name;
    std::string content;
    std::uint32_t stated_size = 0; ///< 0: the true one
    bool deflated = false;         ///< else stored as it is
};

inline std::string deflated(std::string content) {
    z_stream stream{};
    deflateInit2(&stream, Z_BEST_COMPRESSION, Z_DEFLATED, -MAX_WBITS, 8, Z_DEFAULT_STRATEGY);
    std::string packed(content.size() + 1000, '\0');
    stream.next_in = reinterpret_cast<Bytef*>(content.data());
    stream.avail_in = static_cast<uInt>(content.size());
    stream.next_out = reinterpret_cast<Bytef*>(packed.data());
    stream.avail_out = static_cast<uInt>(packed.size());
    deflate(&stream, Z_FINISH);
    packed.resize(stream.total_out);
    deflateEnd(&stream);
    return packed;
}

inline std::string little_endian(std::uint64_t value, int bytes) {
    std::string out;
    for (int i = 0; i < bytes; ++i)
        out += static_cast<char>((value >> (8 * i)) & 0xff);
    return out;
}

/// PKWARE's .ZIP File Format Specification 6.3, 4.3.7, 4.3.12 and 4.3.16.
inline std::string archive(const std::vector<File>& files) {
    std::string bytes, directory;
    for (const auto& file : files) {
        const auto at = bytes.size();
        const std::uint32_t size =
            file.stated_size > 0 ? file.stated_size : static_cast<std::uint32_t>(file.content.size());
        const std::string packed = file.deflated ? deflated(file.content) : file.content;
        const std::string common = little_endian(20, 2) + little_endian(0, 2) +
                                   little_endian(file.deflated ? 8 : 0, 2) + little_endian(0, 4) +
                                   little_endian(dangerline::files::crc32(file.content), 4) +
                                   little_endian(packed.size(), 4) + little_endian(size, 4) +
                                   little_endian(file.name.size(), 2) + little_endian(0, 2);
        bytes += "PK\x03\x04" + common + file.name + packed;
        directory += "PK\x01\x02" + little_endian(20, 2) + common + little_endian(0, 2) +
                     little_endian(0, 2) + little_endian(0, 2) + little_endian(0, 4) + little_endian(at, 4) +
                     file.name;
    }
    return bytes + directory + "PK\x05\x06" + little_endian(0, 4) + little_endian(files.size(), 2) +
           little_endian(files.size(), 2) + little_endian(directory.size(), 4) +
           little_endian(bytes.size(), 4) + little_endian(0, 2);
}

} // namespace zip_writer
