#include "dangerline/chart/cell.hpp"

#include "dangerline/base/error.hpp"

#include <algorithm>
#include <cctype>
#include <fstream>
#include <iterator>

namespace dangerline::chart {

namespace fs = std::filesystem;

namespace {

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    return text;
}

/// The number of ".001"; -1 for any other ending.
int ending_number(const fs::path& path) {
    const std::string ending = path.extension().string();
    if (ending.size() != 4 ||
        !std::all_of(ending.begin() + 1, ending.end(), [](unsigned char c) { return std::isdigit(c) != 0; }))
        return -1;
    return std::stoi(ending.substr(1));
}

/// What can't be looked into may hold a cell or an update, so it is no reason to go on without.
[[noreturn]] void refuse_unreadable(const fs::path& path, const std::error_code& error) {
    throw Failure(Fault::data, {.file = path.string(),
                                .what = "can't be read: " + error.message(),
                                .expected = "a chart file or a folder of them that may be read",
                                .remedy = "check its permissions, or remove a link that leads nowhere"});
}

/// A link that leads nowhere is an error only where its name is a cell's or an update's.
bool is_chart_file(const fs::directory_entry& entry) {
    std::error_code error;
    if (entry.is_regular_file(error))
        return true;
    if (ending_number(entry.path()) >= 0 && !entry.is_directory(error))
        refuse_unreadable(entry.path(),
                          error ? error : make_error_code(std::errc::no_such_file_or_directory));
    return false;
}

std::vector<fs::path> sorted_files(const fs::path& folder) {
    std::vector<fs::path> files;
    std::error_code error;
    for (auto it = fs::directory_iterator(folder, error); it != fs::directory_iterator();
         it.increment(error)) {
        if (is_chart_file(*it))
            files.push_back(it->path());
        if (error)
            break;
    }
    if (error)
        refuse_unreadable(folder, error);
    std::sort(files.begin(), files.end());
    return files;
}

bool same_bytes(const fs::path& a, const fs::path& b) {
    std::ifstream left(a, std::ios::binary), right(b, std::ios::binary);
    using Bytes = std::istreambuf_iterator<char>;
    return left && right && std::equal(Bytes(left), Bytes(), Bytes(right), Bytes());
}

/// Nobody can tell which of the two is the producer's, so neither is taken.
[[noreturn]] void refuse_two_updates(const fs::path& one, const fs::path& other) {
    throw Failure(Fault::data,
                  {.file = other.string(),
                   .what = "this update also stands, with other content, at " + one.string(),
                   .expected = "each update once",
                   .remedy = "remove the wrong copy, or get the updates again from their producer"});
}

void add_updates(CellFiles& cell, const fs::path& folder) {
    const std::string stem = lower(cell.base.stem().string());
    for (const auto& file : sorted_files(folder))
        if (const int number = ending_number(file); number > 0 && lower(file.stem().string()) == stem) {
            const auto [there, added] = cell.updates.emplace(number, file);
            if (!added && !same_bytes(there->second, file))
                refuse_two_updates(there->second, file);
        }
}

/// Updates stand beside the base, or in an exchange set as ../1/NAME.001 beside ../0/NAME.000.
CellFiles with_updates(const fs::path& base) {
    CellFiles cell{.base = base, .updates = {}};
    const fs::path folder = base.has_parent_path() ? base.parent_path() : fs::path(".");
    add_updates(cell, folder);
    if (fs::absolute(folder).lexically_normal().filename() == "0") {
        for (int n = 1; n <= 999; ++n) {
            const fs::path sibling = folder / ".." / std::to_string(n);
            std::error_code error;
            const auto status = fs::status(sibling, error);
            if (fs::is_directory(status))
                add_updates(cell, sibling);
            else if (error && status.type() != fs::file_type::not_found)
                refuse_unreadable(sibling, error);
        }
    }
    return cell;
}

void search(const fs::path& folder, std::vector<fs::path>& bases) {
    std::vector<fs::path> found;
    std::error_code error;
    fs::path last = folder;
    for (auto it =
             fs::recursive_directory_iterator(folder, fs::directory_options::follow_directory_symlink, error);
         it != fs::recursive_directory_iterator(); it.increment(error)) {
        last = it->path();
        if (it.depth() > 20) // a symbolic link to a parent would go round for ever
            it.disable_recursion_pending();
        if (is_chart_file(*it) && ending_number(it->path()) == 0)
            found.push_back(it->path());
    }
    if (error)
        refuse_unreadable(last, error);
    std::sort(found.begin(), found.end());
    bases.insert(bases.end(), found.begin(), found.end());
}

fs::path base_beside(const fs::path& update) {
    fs::path base = update;
    return base.replace_extension(".000");
}

} // namespace

std::vector<CellFiles> find_cells(const std::vector<fs::path>& sources) {
    std::vector<fs::path> bases;
    for (const auto& source : sources) {
        std::error_code error;
        if (fs::is_directory(source, error)) {
            const std::size_t before = bases.size();
            search(source, bases);
            if (bases.size() == before)
                throw Failure(Fault::data, {.file = source.string(),
                                            .what = "no chart cell in this folder",
                                            .expected = "files that end in .000",
                                            .remedy = "name the folder that holds the .000 files"});
        } else if (!fs::exists(source, error)) {
            throw Failure(Fault::data,
                          {.file = source.string(),
                           .what = "no such file or folder",
                           .remedy = "check the path; paths in a plan start at the plan's folder"});
        } else if (ending_number(source) > 0) {
            throw Failure(Fault::data, {.file = source.string(),
                                        .what = "this is an update, not a cell",
                                        .expected = "a file that ends in .000",
                                        .remedy = "name " + base_beside(source).string() +
                                                  "; its updates are found beside it"});
        } else {
            bases.push_back(source);
        }
    }
    std::vector<CellFiles> cells;
    std::map<std::string, fs::path> seen;
    std::map<std::string, bool> listed; // one file named twice is one file
    for (const auto& base : bases) {
        std::error_code error;
        if (!listed.emplace(fs::weakly_canonical(base, error).string(), true).second)
            continue;
        const auto [it, added] = seen.emplace(lower(base.stem().string()), base);
        if (!added)
            throw Failure(Fault::data, {.file = base.string(),
                                        .what = "this cell also stands at " + it->second.string(),
                                        .expected = "each cell once",
                                        .remedy = "remove the older copy"});
        cells.push_back(with_updates(base));
    }
    return cells;
}

} // namespace dangerline::chart
