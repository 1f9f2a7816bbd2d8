#include "dangerline/files/packed.hpp"

#include "dangerline/base/error.hpp"

#include "files/zip.hpp"

#include <algorithm>
#include <fstream>
#include <map>
#include <memory>
#include <mutex>
#include <stdexcept>

#include <zlib.h>

namespace dangerline::files {

namespace fs = std::filesystem;

namespace {

constexpr const char* again = "fetch the archive again, or unpack it and name the folder";

bool zip_name(const fs::path& name) {
    std::string ending = name.extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    return ending == ".zip";
}

[[noreturn]] void refuse(const fs::path& path, const std::string& object, const std::string& what) {
    throw Failure(Fault::data, {.file = path.string(), .object = object, .what = what, .remedy = again});
}

using Directory = std::map<std::string, ZipEntry>;

/// A national folder is one archive with thousands of files: its directory is read once, and again only when
/// the archive has changed.
std::shared_ptr<const Directory> directory_of(const fs::path& archive) {
    struct Kept {
        std::uintmax_t size = 0;
        fs::file_time_type changed{};
        std::shared_ptr<const Directory> directory;
    };
    static std::mutex mutex;
    static std::map<std::string, Kept> kept;
    const std::lock_guard lock(mutex);
    std::error_code error;
    Kept now{fs::file_size(archive, error), fs::last_write_time(archive, error), nullptr};
    Kept& last = kept[fs::absolute(archive).string()];
    if (!last.directory || last.size != now.size || last.changed != now.changed) {
        now.directory = std::make_shared<const Directory>(read_directory(archive));
        last = now;
    }
    return last.directory;
}

bool leaves_the_archive(const std::string& name) {
    const fs::path path(name);
    return path.is_absolute() || name.find('\\') != std::string::npos ||
           std::find(path.begin(), path.end(), "..") != path.end();
}

std::string read_packed(const fs::path& archive, const fs::path& path) {
    const std::string name = path.lexically_relative(archive).generic_string();
    try {
        const auto directory = directory_of(archive);
        const auto at = directory->find(name);
        if (at == directory->end())
            throw std::runtime_error("no such file in the archive");
        return unpack(archive, at->second);
    } catch (const std::runtime_error& e) {
        refuse(archive, name, std::string("can't be unpacked: ") + e.what());
    }
}

} // namespace

bool is_archive(const fs::path& path) {
    std::error_code error;
    return zip_name(path) && fs::is_regular_file(path, error);
}

std::optional<fs::path> archive_of(const fs::path& path) {
    fs::path head;
    for (const auto& part : path) {
        head /= part;
        if (head != path && is_archive(head))
            return head;
    }
    return std::nullopt;
}

std::vector<fs::path> packed_files(const fs::path& archive) {
    std::shared_ptr<const Directory> directory;
    try {
        directory = directory_of(archive);
    } catch (const std::runtime_error& e) {
        refuse(archive, "", std::string("no zip archive, or a damaged one: ") + e.what());
    }
    std::vector<fs::path> found;
    std::uint64_t bytes = 0;
    for (const auto& [name, entry] : *directory) {
        if (leaves_the_archive(name))
            refuse(archive, name, "a name that leads out of the archive");
        bytes += entry.size;
        if (entry.size > largest_packed_file || bytes > largest_archive)
            refuse(archive, name, "more than 256 MB in one file, or 8 GB in all, unpacked");
        found.push_back(archive / name);
    }
    std::sort(found.begin(), found.end());
    return found;
}

std::string read_bytes(const fs::path& path) {
    std::string bytes;
    read_bytes(path, bytes);
    return bytes;
}

void read_bytes(const fs::path& path, std::string& into) {
    if (const auto archive = archive_of(path)) {
        into = read_packed(*archive, path);
        return;
    }
    std::ifstream in(path, std::ios::binary);
    std::error_code error;
    const auto size = fs::file_size(path, error);
    if (in && !error) {
        into.resize(size);
        in.read(into.data(), static_cast<std::streamsize>(size));
    }
    if (!in || error)
        throw Failure(Fault::data,
                      {.file = path.string(), .what = "can't be read", .remedy = "check its permissions"});
}

std::uint32_t crc32(std::string_view bytes) {
    uLong sum = ::crc32(0L, Z_NULL, 0);
    while (!bytes.empty()) {
        const auto part = bytes.substr(0, 1U << 30);
        sum = ::crc32(sum, reinterpret_cast<const Bytef*>(part.data()), static_cast<uInt>(part.size()));
        bytes.remove_prefix(part.size());
    }
    return static_cast<std::uint32_t>(sum);
}

} // namespace dangerline::files
