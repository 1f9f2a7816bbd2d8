#include "support/support.hpp"

#include <cstdlib>
#include <fstream>
#include <sstream>
#include <stdexcept>

namespace support {

namespace fs = std::filesystem;

fs::path testdata() {
    return DANGERLINE_TESTDATA;
}

std::optional<fs::path> real_cells() {
    const char* folder = std::getenv("DANGERLINE_REAL_CELLS");
    if (!folder || !*folder)
        return std::nullopt;
    return fs::path(folder);
}

TemporaryFolder::TemporaryFolder() {
    std::string pattern = (fs::temp_directory_path() / "dangerline-test-XXXXXX").string();
    if (!mkdtemp(pattern.data()))
        throw std::runtime_error("no temporary folder: " + pattern);
    path_ = pattern;
}

TemporaryFolder::~TemporaryFolder() {
    std::error_code ignored;
    fs::remove_all(path_, ignored);
}

fs::path TemporaryFolder::file(const std::string& name, const std::string& content) const {
    const fs::path path = path_ / name;
    fs::create_directories(path.parent_path());
    std::ofstream(path, std::ios::binary) << content;
    return path;
}

std::string read_file(const fs::path& path) {
    std::ifstream in(path, std::ios::binary);
    if (!in)
        throw std::runtime_error("can't read " + path.string());
    std::ostringstream all;
    all << in.rdbuf();
    return all.str();
}

namespace {

std::vector<std::string> cells_of(const std::string& line) {
    std::vector<std::string> cells(1);
    bool quoted = false;
    for (char c : line) {
        if (c == '"')
            quoted = !quoted;
        else if (c == ',' && !quoted)
            cells.emplace_back();
        else if (c != '\r')
            cells.back() += c;
    }
    return cells;
}

} // namespace

std::vector<std::map<std::string, std::string>> read_table(const fs::path& path) {
    std::ifstream in(path);
    if (!in)
        throw std::runtime_error("can't read " + path.string());
    std::vector<std::map<std::string, std::string>> rows;
    std::vector<std::string> names;
    for (std::string line; std::getline(in, line);) {
        if (line.empty() || line[0] == '#')
            continue;
        const auto cells = cells_of(line);
        if (names.empty()) {
            names = cells;
            continue;
        }
        auto& row = rows.emplace_back();
        for (std::size_t i = 0; i < names.size(); ++i)
            row[names[i]] = i < cells.size() ? cells[i] : "";
    }
    return rows;
}

} // namespace support
