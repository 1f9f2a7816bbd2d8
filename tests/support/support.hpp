// What the tests of several rooms share: folders, small files, published tables.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

namespace support {

/// The folder testdata/ of the source tree.
std::filesystem::path testdata();

/// Folder with real chart cells named by the environment variable DANGERLINE_REAL_CELLS, if it is set.
std::optional<std::filesystem::path> real_cells();

/// A new empty folder, removed with everything in it when the object goes.
class TemporaryFolder {
  public:
    TemporaryFolder();
    ~TemporaryFolder();
    TemporaryFolder(const TemporaryFolder&) = delete;
    TemporaryFolder& operator=(const TemporaryFolder&) = delete;
    const std::filesystem::path& path() const { return path_; }
    /// Writes `content` to a file of that name in the folder and returns its path.
    std::filesystem::path file(const std::string& name, const std::string& content) const;

  private:
    std::filesystem::path path_;
};

std::string read_file(const std::filesystem::path& path);

/// Rows of a comma-separated table with a header line; lines starting with '#' are skipped, cells may be
/// quoted.
std::vector<std::map<std::string, std::string>> read_table(const std::filesystem::path& path);

} // namespace support

/// Skips a test, saying so, where no real cells are at hand.
#define SKIP_WITHOUT_REAL_CELLS(folder)                                                                      \
    const auto folder = support::real_cells();                                                               \
    if (!folder)                                                                                             \
    GTEST_SKIP() << "set DANGERLINE_REAL_CELLS to a folder with real S-57 cells to run this test"
