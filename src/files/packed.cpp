#include "dangerline/files/packed.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/files/gdal_quiet.hpp"

#include <algorithm>
#include <fstream>
#include <memory>

#include <cpl_vsi.h>
#include <zlib.h>

namespace dangerline::files {

namespace fs = std::filesystem;

namespace {

constexpr const char* again = "fetch the archive again, or unpack it and name the folder";

bool zip_name(const fs::path& name) {
    std::string ending = name.extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(), [](char c) {
        return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
    });
    return ending == ".zip";
}

[[noreturn]] void refuse(const fs::path& path, const std::string& object, const std::string& what) {
    throw Failure(Fault::data, {.file = path.string(), .object = object, .what = what, .remedy = again});
}

/// Braces keep names with blanks or a second ".zip" apart from the archive's.
std::string inside(const fs::path& archive, const std::string& name) {
    return "/vsizip/{" + fs::absolute(archive).string() + "}" + (name.empty() ? "" : "/" + name);
}

struct CloseFile {
    void operator()(VSILFILE* file) const { VSIFCloseL(file); }
};
struct CloseFolder {
    void operator()(VSIDIR* folder) const { VSICloseDir(folder); }
};

bool leaves_the_archive(const std::string& name) {
    const fs::path path(name);
    return path.is_absolute() || name.find('\\') != std::string::npos ||
           std::find(path.begin(), path.end(), "..") != path.end();
}

std::string read_packed(const fs::path& archive, const fs::path& path) {
    const std::string name = path.lexically_relative(archive).generic_string();
    GdalMessages messages;
    const std::unique_ptr<VSILFILE, CloseFile> file(VSIFOpenL(inside(archive, name).c_str(), "rb"));
    VSIStatBufL stat{};
    if (!file || VSIStatL(inside(archive, name).c_str(), &stat) != 0)
        refuse(archive, name, "can't be read" + (messages.empty() ? "" : ": " + messages.text()));
    // The size is the archive's own word; reading stops behind it, and at the bound.
    const auto size = static_cast<std::uint64_t>(stat.st_size);
    if (size > largest_packed_file)
        refuse(archive, name, "is larger than 256 MB unpacked");
    std::string bytes(size + 1, '\0');
    const auto read = VSIFReadL(bytes.data(), 1, bytes.size(), file.get());
    if (read != size || messages.failed())
        refuse(archive, name,
               "is damaged" + (messages.empty() ? std::string() : ": " + messages.text()));
    bytes.resize(size);
    return bytes;
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
    GdalMessages messages;
    const std::unique_ptr<VSIDIR, CloseFolder> folder(VSIOpenDir(inside(archive, "").c_str(), -1, nullptr));
    if (!folder)
        refuse(archive, "", "no zip archive, or a damaged one" + (messages.empty() ? "" : ": " + messages.text()));
    std::vector<fs::path> found;
    std::uint64_t bytes = 0;
    while (const VSIDIREntry* entry = VSIGetNextDirEntry(folder.get())) {
        const std::string name = entry->pszName;
        if (leaves_the_archive(name))
            refuse(archive, name, "a name that leads out of the archive");
        if (entry->bModeKnown && VSI_ISDIR(entry->nMode))
            continue;
        bytes += entry->nSize;
        if (entry->nSize > largest_packed_file || bytes > largest_archive ||
            found.size() >= most_packed_files)
            refuse(archive, name, "more than 256 MB in one file, 8 GB or 200,000 files in all, unpacked");
        found.push_back(archive / name);
    }
    if (messages.failed())
        refuse(archive, "", "damaged: " + messages.text());
    std::sort(found.begin(), found.end());
    return found;
}

std::string read_bytes(const fs::path& path) {
    if (const auto archive = archive_of(path))
        return read_packed(*archive, path);
    std::ifstream in(path, std::ios::binary);
    std::error_code error;
    const auto size = fs::file_size(path, error);
    std::string bytes;
    if (in && !error) {
        bytes.resize(size);
        in.read(bytes.data(), static_cast<std::streamsize>(size));
    }
    if (!in || error)
        throw Failure(Fault::data,
                      {.file = path.string(), .what = "can't be read", .remedy = "check its permissions"});
    return bytes;
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
