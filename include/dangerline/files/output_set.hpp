// A run's output files appear together or not at all.
#pragma once

#include <cstdint>
#include <filesystem>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace dangerline::files {

/// What the manifest says besides the list of files. No time stamps: same input, same bytes.
struct ManifestHead {
    std::string program_version{}; ///< for example "0.1.0"
    std::vector<std::pair<std::string, std::string>>
        facts{}; ///< further keys and values, written in this order
};

/// Writes a set of named files into one folder. Files are written to temporaries there, flushed to the disk
/// and renamed into place by commit(); `manifest.json` comes last and lists each with its length and CRC-32
/// (ISO 3309, as in zip and PNG), so that a folder with a manifest holds a finished set. The old manifest
/// goes before the first rename: a run that dies in between leaves none.
///
/// The folder and its parents are made where they are missing, and removed again if nothing was committed.
/// While the object lives it holds a lock; a second run gets a Failure. Files of earlier runs that this set
/// does not replace stay, but are not in the new manifest.
///
/// Failures (Fault::data): the folder is, or lies behind, a regular file; it can't be written; another run is
/// writing there; the disk is full.
class OutputSet {
  public:
    explicit OutputSet(std::filesystem::path folder);
    /// Without a commit: removes the temporaries; earlier outputs stay as they were.
    ~OutputSet();
    OutputSet(const OutputSet&) = delete;
    OutputSet& operator=(const OutputSet&) = delete;

    /// Writes `bytes` to a temporary. `name` is a plain file name. Throws std::invalid_argument where it is
    /// empty, starts with a dot, holds '/' or NUL, is "manifest.json", was added before, or the set is
    /// committed.
    void add(const std::string& name, std::string_view bytes);

    /// Writes to the end of a file that earlier calls with that name began, or begins it: for what is not to
    /// stand in memory as a whole. Throws as add() does; a name is either added or appended to.
    void append(const std::string& name, std::string_view bytes);

    /// Puts everything in place and releases the lock. Returns the paths in the order they were added, the
    /// manifest last. Throws std::invalid_argument for a second call or a fact named as one of the manifest's
    /// own keys. On a Failure no manifest is left.
    std::vector<std::filesystem::path> commit(const ManifestHead& head);

    const std::filesystem::path& folder() const { return folder_; }

  private:
    struct Entry {
        std::string name;
        std::uintmax_t bytes;
        unsigned long crc32;
        bool appended;
    };
    void make_folders();
    void lock();
    void unlock() noexcept;
    void remove_leftovers() noexcept;
    std::filesystem::path temporary(const std::string& name) const;
    void check_name(const std::string& name) const;
    void write_temporary(const std::string& name, std::string_view bytes, bool append = false) const;
    void flush_temporary(const std::string& name) const;
    void put_in_place(const std::string& name) const;
    void flush_folder() const;

    std::filesystem::path folder_;
    std::vector<std::filesystem::path> made_; ///< folders this object made, outermost first
    std::vector<Entry> entries_;
    int lock_ = -1;
    bool committed_ = false;
};

} // namespace dangerline::files
