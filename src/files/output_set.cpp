#include "dangerline/files/output_set.hpp"

#include "dangerline/base/error.hpp"

#include <algorithm>
#include <cerrno>
#include <fcntl.h>
#include <fmt/format.h>
#include <nlohmann/json.hpp>
#include <stdexcept>
#include <sys/file.h>
#include <sys/stat.h>
#include <system_error>
#include <unistd.h>
#include <zlib.h>

namespace dangerline::files {

namespace fs = std::filesystem;

namespace {

constexpr const char* manifest_name = "manifest.json";
constexpr const char* lock_name = ".dangerline.lock";
constexpr std::string_view temporary_prefix = ".dangerline-";
constexpr std::string_view temporary_suffix = ".part";

std::string reason(int number) {
    return std::generic_category().message(number);
}

[[noreturn]] void fail(const fs::path& path, std::string what, std::string expected, std::string remedy) {
    throw Failure(Fault::data, {path.string(), "", std::move(what), std::move(expected), std::move(remedy)});
}

[[noreturn]] void fail_writing(const fs::path& path, int number) {
    fail(path, "can't be written: " + reason(number), "a folder this user may write, with room left",
         "another output folder");
}

/// Closes on every way out.
class Descriptor {
  public:
    Descriptor(const fs::path& path, int flags) : number_(::open(path.c_str(), flags | O_CLOEXEC, 0666)) {}
    ~Descriptor() {
        if (number_ >= 0)
            ::close(number_);
    }
    Descriptor(const Descriptor&) = delete;
    Descriptor& operator=(const Descriptor&) = delete;
    int get() const { return number_; }
    int release() { return std::exchange(number_, -1); }

  private:
    int number_;
};

unsigned long crc32_of(std::string_view bytes, unsigned long so_far = ::crc32_z(0, nullptr, 0)) {
    return ::crc32_z(so_far, reinterpret_cast<const Bytef*>(bytes.data()), bytes.size());
}

} // namespace

OutputSet::OutputSet(fs::path folder) : folder_(std::move(folder)) {
    try {
        make_folders();
        lock();
    } catch (...) {
        for (auto it = made_.rbegin(); it != made_.rend(); ++it)
            ::rmdir(it->c_str());
        throw;
    }
    remove_leftovers();
}

OutputSet::~OutputSet() {
    if (committed_)
        return;
    remove_leftovers();
    unlock();
    for (auto it = made_.rbegin(); it != made_.rend(); ++it)
        ::rmdir(it->c_str()); // refuses by itself where something else was put there
}

void OutputSet::make_folders() {
    fs::path so_far;
    for (const fs::path& part : folder_) {
        so_far /= part;
        if (so_far.empty())
            continue;
        if (::mkdir(so_far.c_str(), 0777) == 0) {
            made_.push_back(so_far);
            continue;
        }
        const int number = errno;
        std::error_code ignored;
        if (fs::is_directory(so_far, ignored))
            continue;
        if (fs::exists(so_far, ignored))
            fail(folder_, so_far.string() + " is a file", "a folder for the output",
                 "another output folder, or move that file away");
        fail(folder_, so_far.string() + " can't be made: " + reason(number), "a folder for the output",
             "another output folder");
    }
    if (folder_.empty())
        fail(folder_, "the output folder has no name", "a folder for the output", "a name such as out");
}

void OutputSet::lock() {
    const fs::path path = folder_ / lock_name;
    for (;;) {
        Descriptor file(path, O_RDWR | O_CREAT | O_NOFOLLOW);
        if (file.get() < 0)
            fail_writing(folder_, errno);
        if (::flock(file.get(), LOCK_EX | LOCK_NB) != 0) {
            if (errno != EWOULDBLOCK)
                fail_writing(path, errno);
            fail(folder_, "another run is writing here", "a folder no other run is writing into",
                 "wait for it to end, or another output folder");
        }
        // The run before may have removed the file between our open and our lock: then this lock guards
        // nothing.
        struct stat ours {};
        struct stat there {};
        if (::fstat(file.get(), &ours) == 0 && ::stat(path.c_str(), &there) == 0 &&
            ours.st_ino == there.st_ino && ours.st_dev == there.st_dev) {
            lock_ = file.release();
            return;
        }
    }
}

void OutputSet::unlock() noexcept {
    if (lock_ < 0)
        return;
    ::unlink((folder_ / lock_name).c_str());
    ::close(lock_);
    lock_ = -1;
}

/// Temporaries of this set and of a run that died; nobody else writes such names while we hold the lock.
void OutputSet::remove_leftovers() noexcept {
    std::error_code ignored;
    for (fs::directory_iterator it(folder_, ignored), end; it != end; it.increment(ignored)) {
        const std::string name = it->path().filename().string();
        if (name.starts_with(temporary_prefix) && name.ends_with(temporary_suffix))
            ::unlink(it->path().c_str());
    }
}

fs::path OutputSet::temporary(const std::string& name) const {
    return folder_ / fmt::format("{}{}{}", temporary_prefix, name, temporary_suffix);
}

void OutputSet::check_name(const std::string& name) const {
    const bool plain = !name.empty() && name[0] != '.' && name.find('/') == std::string::npos &&
                       name.find('\0') == std::string::npos && name != manifest_name;
    if (!plain)
        throw std::invalid_argument("not a name for an output file: '" + name + "'");
    if (committed_)
        throw std::invalid_argument("output set is committed already: " + name);
}

void OutputSet::add(const std::string& name, std::string_view bytes) {
    check_name(name);
    if (std::any_of(entries_.begin(), entries_.end(), [&](const Entry& e) { return e.name == name; }))
        throw std::invalid_argument("output file added twice: " + name);
    write_temporary(name, bytes);
    flush_temporary(name);
    entries_.push_back({name, bytes.size(), crc32_of(bytes), false});
}

void OutputSet::append(const std::string& name, std::string_view bytes) {
    check_name(name);
    const auto known =
        std::find_if(entries_.begin(), entries_.end(), [&](const Entry& e) { return e.name == name; });
    if (known != entries_.end() && !known->appended)
        throw std::invalid_argument("output file added already: " + name);
    write_temporary(name, bytes, known != entries_.end());
    Entry& entry =
        known != entries_.end() ? *known : entries_.emplace_back(Entry{name, 0, crc32_of(""), true});
    entry.bytes += bytes.size();
    entry.crc32 = crc32_of(bytes, entry.crc32);
}

void OutputSet::write_temporary(const std::string& name, std::string_view bytes, bool append) const {
    const fs::path path = temporary(name);
    Descriptor file(path, O_WRONLY | O_CREAT | O_NOFOLLOW | (append ? O_APPEND : O_TRUNC));
    if (file.get() < 0)
        fail_writing(path, errno);
    while (!bytes.empty()) {
        const ssize_t done = ::write(file.get(), bytes.data(), bytes.size());
        if (done < 0 && errno == EINTR)
            continue;
        if (done <= 0)
            fail_writing(path, errno);
        bytes.remove_prefix(static_cast<std::size_t>(done));
    }
    if (::close(file.release()) != 0)
        fail_writing(path, errno);
}

/// Some file systems report a full disk only here or at close.
void OutputSet::flush_temporary(const std::string& name) const {
    const fs::path path = temporary(name);
    Descriptor file(path, O_WRONLY | O_NOFOLLOW);
    if (file.get() < 0 || ::fsync(file.get()) != 0 || ::close(file.release()) != 0)
        fail_writing(path, errno);
}

void OutputSet::put_in_place(const std::string& name) const {
    if (::rename(temporary(name).c_str(), (folder_ / name).c_str()) != 0)
        fail_writing(folder_ / name, errno);
}

void OutputSet::flush_folder() const {
    Descriptor file(folder_, O_RDONLY | O_DIRECTORY);
    if (file.get() < 0 || (::fsync(file.get()) != 0 && errno != EINVAL))
        fail_writing(folder_, errno);
}

namespace {

nlohmann::ordered_json head_of(const ManifestHead& head) {
    nlohmann::ordered_json json;
    json["program"] = "dangerline";
    json["version"] = head.program_version;
    for (const auto& [key, value] : head.facts) {
        if (json.contains(key) || key == "files")
            throw std::invalid_argument("fact of the manifest named twice: " + key);
        json[key] = value;
    }
    json["files"] = nlohmann::ordered_json::array();
    return json;
}

} // namespace

std::vector<fs::path> OutputSet::commit(const ManifestHead& head) {
    if (committed_)
        throw std::invalid_argument("output set is committed already");
    std::vector<fs::path> paths;
    auto json = head_of(head);
    for (const Entry& e : entries_) {
        if (e.appended)
            flush_temporary(e.name);
        json["files"].push_back(
            {{"name", e.name}, {"bytes", e.bytes}, {"crc32", fmt::format("{:08x}", e.crc32)}});
        paths.push_back(folder_ / e.name);
    }
    paths.push_back(folder_ / manifest_name);
    // Text from outside may not be UTF-8; it must not cost the run its results.
    const auto replace = nlohmann::ordered_json::error_handler_t::replace;
    write_temporary(manifest_name, json.dump(2, ' ', false, replace) + "\n");
    flush_temporary(manifest_name);

    // What can be foreseen is refused before anything is touched.
    for (const fs::path& path : paths)
        if (std::error_code ignored; fs::is_directory(path, ignored))
            fail(path, "is a folder", "a file that may be replaced",
                 "another output folder, or move that folder away");
    if (::unlink((folder_ / manifest_name).c_str()) != 0 && errno != ENOENT)
        fail_writing(folder_ / manifest_name, errno);
    flush_folder();
    for (const Entry& e : entries_)
        put_in_place(e.name);
    flush_folder();
    put_in_place(manifest_name);
    flush_folder();
    committed_ = true;
    unlock();
    return paths;
}

} // namespace dangerline::files
