// Offsets as in PKWARE's .ZIP File Format Specification 6.3, sections 4.3.7, 4.3.12 and 4.3.16.
#include "files/zip.hpp"

#include "dangerline/files/packed.hpp"

#include <algorithm>
#include <fstream>
#include <limits>
#include <stdexcept>
#include <string_view>

#include <zlib.h>

namespace dangerline::files {

namespace {

constexpr std::size_t end_size = 22, central_size = 46, local_size = 30;
constexpr std::size_t longest_comment = 65535;

std::uint32_t number(std::string_view bytes, std::size_t at, int width) {
    std::uint32_t value = 0;
    for (int i = width - 1; i >= 0; --i)
        value = (value << 8) | static_cast<unsigned char>(bytes[at + static_cast<std::size_t>(i)]);
    return value;
}

std::string read_part(std::ifstream& in, std::uint64_t from, std::size_t length) {
    std::string bytes(length, '\0');
    in.seekg(static_cast<std::streamoff>(from));
    in.read(bytes.data(), static_cast<std::streamsize>(length));
    if (!in)
        throw std::runtime_error("it is cut short");
    return bytes;
}

std::string inflated(std::string& packed, std::uint32_t size) {
    // One byte more than stated, so that a file that swells beyond its word is seen.
    std::string bytes(static_cast<std::size_t>(size) + 1, '\0');
    z_stream stream{};
    if (inflateInit2(&stream, -MAX_WBITS) != Z_OK)
        throw std::runtime_error("no memory to unpack it");
    stream.next_in = reinterpret_cast<Bytef*>(packed.data());
    stream.avail_in = static_cast<uInt>(packed.size());
    stream.next_out = reinterpret_cast<Bytef*>(bytes.data());
    stream.avail_out = static_cast<uInt>(bytes.size());
    const int result = inflate(&stream, Z_FINISH);
    const auto written = stream.total_out;
    inflateEnd(&stream);
    if (result != Z_STREAM_END || written != size)
        throw std::runtime_error("its packed data are damaged");
    bytes.resize(size);
    return bytes;
}

/// The directory's own place stands in the last record, before a comment.
std::string directory_bytes(std::ifstream& in, std::uint64_t length, std::size_t& count) {
    const std::size_t tail_size =
        static_cast<std::size_t>(std::min<std::uint64_t>(length, end_size + longest_comment));
    const std::string tail = read_part(in, length - tail_size, tail_size);
    const auto at = tail.rfind("PK\x05\x06");
    if (at == std::string::npos || tail.size() - at < end_size)
        throw std::runtime_error("it has no directory at its end");
    count = number(tail, at + 10, 2);
    const std::uint32_t size = number(tail, at + 12, 4), offset = number(tail, at + 16, 4);
    if (count == 0xffff || offset == 0xffffffffU)
        throw std::runtime_error("it is of the large kind (zip64), which is not read");
    if (std::uint64_t{offset} + size > length)
        throw std::runtime_error("its directory lies outside the file");
    return read_part(in, offset, size);
}

} // namespace

std::map<std::string, ZipEntry> read_directory(const std::filesystem::path& archive) {
    std::ifstream in(archive, std::ios::binary);
    std::error_code error;
    const auto length = std::filesystem::file_size(archive, error);
    if (!in || error || length < end_size)
        throw std::runtime_error("it can't be read, or is too short");
    std::size_t count = 0, at = 0;
    const std::string bytes = directory_bytes(in, length, count);
    std::map<std::string, ZipEntry> entries;
    for (std::size_t i = 0; i < count; ++i) {
        if (bytes.size() - at < central_size || bytes.compare(at, 4, "PK\x01\x02") != 0)
            throw std::runtime_error("its directory is damaged");
        const std::size_t name = number(bytes, at + 28, 2), extra = number(bytes, at + 30, 2),
                          comment = number(bytes, at + 32, 2);
        if (bytes.size() - at < central_size + name + extra + comment)
            throw std::runtime_error("its directory is damaged");
        const std::string path = bytes.substr(at + central_size, name);
        const ZipEntry entry{static_cast<int>(number(bytes, at + 10, 2)),
                             (number(bytes, at + 8, 2) & 1U) != 0,
                             number(bytes, at + 16, 4),
                             number(bytes, at + 20, 4),
                             number(bytes, at + 24, 4),
                             number(bytes, at + 42, 4)};
        if (!path.empty() && path.back() != '/' && !entries.emplace(path, entry).second)
            throw std::runtime_error("it holds " + path + " twice");
        at += central_size + name + extra + comment;
    }
    return entries;
}

std::string unpack(const std::filesystem::path& archive, const ZipEntry& entry) {
    if (entry.encrypted)
        throw std::runtime_error("it is encrypted");
    if (entry.method != 0 && entry.method != 8)
        throw std::runtime_error("it is packed in a way that is not read");
    if (entry.size > largest_packed_file || entry.packed_size > largest_packed_file)
        throw std::runtime_error("it is larger than 256 MB unpacked");
    std::ifstream in(archive, std::ios::binary);
    const std::string head = read_part(in, entry.offset, local_size);
    if (!head.starts_with("PK\x03\x04"))
        throw std::runtime_error("it does not stand where the directory says");
    const std::uint64_t begin =
        std::uint64_t{entry.offset} + local_size + number(head, 26, 2) + number(head, 28, 2);
    std::string bytes = read_part(in, begin, entry.packed_size);
    if (entry.method == 8)
        bytes = inflated(bytes, entry.size);
    if (bytes.size() != entry.size || crc32(bytes) != entry.checksum)
        throw std::runtime_error("its checksum is wrong: it is damaged");
    return bytes;
}

} // namespace dangerline::files
