#include "dangerline/chart/sources.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/base/parallel.hpp"
#include "dangerline/chart/vector_source.hpp"
#include "dangerline/files/packed.hpp"

#include <algorithm>
#include <map>

#include <fmt/format.h>

namespace dangerline::chart {

namespace fs = std::filesystem;

namespace {

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    return text;
}

/// The number of ".001"; -1 for any other ending.
int ending_number(const fs::path& path) {
    const std::string ending = path.extension().string();
    if (ending.size() != 4 ||
        !std::all_of(ending.begin() + 1, ending.end(), [](char c) { return c >= '0' && c <= '9'; }))
        return -1;
    return std::stoi(ending.substr(1));
}

/// Whether an update that stands at `update` belongs to the base at `base`: beside it, or as ../1/NAME.001
/// beside ../0/NAME.000.
bool belongs(const fs::path& update, const fs::path& base) {
    const fs::path here = base.parent_path(), there = update.parent_path();
    if (here == there)
        return true;
    const std::string folder = there.filename().string();
    return here.filename() == "0" && here.parent_path() == there.parent_path() && !folder.empty() &&
           folder.size() <= 3 &&
           std::all_of(folder.begin(), folder.end(), [](char c) { return c >= '0' && c <= '9'; });
}

std::vector<CellFiles> cells_among(const std::vector<fs::path>& files) {
    std::vector<CellFiles> cells;
    std::multimap<std::string, const fs::path*> updates;
    for (const auto& file : files)
        if (ending_number(file) > 0 && !is_catalogue(file))
            updates.emplace(lower(file.stem().string()), &file);
    for (const auto& file : files) {
        if (ending_number(file) != 0)
            continue;
        CellFiles& cell = cells.emplace_back();
        cell.base = file;
        const auto [begin, end] = updates.equal_range(lower(file.stem().string()));
        for (auto it = begin; it != end; ++it) {
            if (!belongs(*it->second, file))
                continue;
            const auto [there, added] = cell.updates.emplace(ending_number(*it->second), *it->second);
            if (!added && files::read_bytes(there->second) != files::read_bytes(*it->second))
                throw Failure(Fault::data, {.file = it->second->string(),
                                            .what = "this update also stands, with other content, at " +
                                                    there->second.string(),
                                            .expected = "each update once",
                                            .remedy = "get the updates again from their producer"});
        }
    }
    return cells;
}

[[noreturn]] void refuse_unreadable(const fs::path& path, const std::error_code& error) {
    throw Failure(Fault::data, {.file = path.string(),
                                .what = "can't be read: " + error.message(),
                                .expected = "a chart file or a folder of them that may be read",
                                .remedy = "check its permissions, or remove a link that leads nowhere"});
}

/// Every regular file below a folder. What can't be looked into may hold a cell or an update, so it is no
/// reason to go on without; nor is a link that leads nowhere under a chart's name.
std::vector<fs::path> files_below(const fs::path& folder) {
    std::vector<fs::path> files;
    std::error_code error;
    fs::path last = folder;
    for (auto it =
             fs::recursive_directory_iterator(folder, fs::directory_options::follow_directory_symlink, error);
         it != fs::recursive_directory_iterator(); it.increment(error)) {
        last = it->path();
        if (it.depth() > 20) // a symbolic link to a parent would go round for ever
            it.disable_recursion_pending();
        std::error_code one;
        if (it->is_regular_file(one))
            files.push_back(last);
        else if (ending_number(last) >= 0 && !it->is_directory(one))
            refuse_unreadable(last, one ? one : make_error_code(std::errc::no_such_file_or_directory));
    }
    if (error)
        refuse_unreadable(last, error);
    std::sort(files.begin(), files.end());
    return files;
}

class Finder {
  public:
    Finder(FoundSources& out, Diagnostics& diagnostics) : out_(out), diagnostics_(diagnostics) {}

    void look_at(const fs::path& named) {
        std::error_code error;
        const bool alone = is_catalogue(named) && fs::is_regular_file(named, error);
        const fs::path path = alone && named.has_parent_path() ? named.parent_path()
                              : alone                          ? fs::path(".")
                                                               : named;
        if (files::is_archive(path)) {
            look_into(path, files::packed_files(path), "no chart cell in this archive",
                      "unpack it and name what it holds");
        } else if (fs::is_directory(path, error)) {
            look_into(path, files_below(path), "no chart cell in this folder",
                      "name the folder that holds the .000 files, or vector sources one by one");
        } else if (is_vector_source(path)) {
            out_.vectors.push_back(path);
        } else {
            plain_.push_back(path);
        }
    }

    void finish() {
        for (auto& files : gathered_)
            add(std::move(files));
        if (!plain_.empty())
            for (auto& files : find_cells(plain_))
                add(std::move(files));
    }

  private:
    void look_into(const fs::path& path, const std::vector<fs::path>& files, const char* nothing,
                   const char* remedy) {
        auto cells = cells_among(files);
        if (cells.empty() && is_vector_source(path)) {
            out_.vectors.push_back(path);
            return;
        }
        if (cells.empty())
            throw Failure(Fault::data, {.file = path.string(),
                                        .what = nothing,
                                        .expected = "files that end in .000",
                                        .remedy = remedy});
        read_catalogues(files);
        for (auto& cell : cells)
            gathered_.push_back(std::move(cell));
    }

    void read_catalogues(const std::vector<fs::path>& files) {
        for (const auto& file : files)
            if (is_catalogue(file))
                catalogues_.push_back(
                    std::make_shared<const Catalogue>(read_catalogue(file, files, diagnostics_)));
    }

    void add(CellFiles files) {
        const auto [there, added] = seen_.emplace(lower(files.base.stem().string()), files.base);
        std::error_code error;
        if (!added && fs::equivalent(there->second, files.base, error))
            return; // one file named twice is one file
        if (!added)
            throw Failure(Fault::data, {.file = files.base.string(),
                                        .what = "this cell also stands at " + there->second.string(),
                                        .expected = "each cell once",
                                        .remedy = "remove the older copy"});
        FoundCell& cell = out_.cells.emplace_back(FoundCell{std::move(files), nullptr});
        for (const auto& catalogue : catalogues_)
            if (catalogue->find(cell.files.base) || below(cell.files.base, catalogue->file.parent_path()))
                cell.catalogue = catalogue;
    }

    static bool below(const fs::path& file, const fs::path& folder) {
        const auto rest = file.lexically_normal().lexically_relative(folder.lexically_normal());
        return !rest.empty() && *rest.begin() != "..";
    }

    FoundSources& out_;
    Diagnostics& diagnostics_;
    std::vector<fs::path> plain_;
    std::vector<CellFiles> gathered_;
    std::vector<std::shared_ptr<const Catalogue>> catalogues_;
    std::map<std::string, fs::path> seen_;
};

/// Updates the catalogue names for this cell that are not there.
std::vector<std::string> missing_updates(const Catalogue& catalogue, const CellFiles& files) {
    std::vector<std::string> missing;
    for (const auto& entry : catalogue.entries)
        if (entry.path.empty() && ending_number(entry.file) > 0 && !is_catalogue(entry.file) &&
            lower(fs::path(entry.file).stem().string()) == lower(files.base.stem().string()) &&
            !files.updates.contains(ending_number(entry.file)))
            missing.push_back(entry.file);
    return missing;
}

std::vector<std::string> check(const Catalogue& catalogue, const CellFiles& files, Diagnostics& diagnostics) {
    std::vector<std::string> wrong;
    const auto look = [&](const fs::path& path) {
        const CatalogueEntry* entry = catalogue.find(path);
        if (!entry)
            diagnostics.push_back({Severity::warning, path.string(), "",
                                   "not named in the catalogue of its exchange set, so not checked"});
        else if (auto complaint = checksum_complaint(*entry, files::read_bytes(path), diagnostics))
            wrong.push_back(path.filename().string() + ": " + *complaint);
    };
    look(files.base);
    for (const auto& [number, path] : files.updates)
        look(path);
    for (const auto& name : missing_updates(catalogue, files))
        wrong.push_back("update " + name + " stands in the catalogue, but is missing");
    return wrong;
}

} // namespace

FoundSources find_sources(const std::vector<fs::path>& paths, Diagnostics& diagnostics) {
    FoundSources out;
    Finder finder(out, diagnostics);
    for (const auto& path : paths)
        finder.look_at(path);
    finder.finish();
    return out;
}

std::optional<LonLatBox> extent_of(const FoundCell& cell) {
    if (!cell.catalogue)
        return extent_of(cell.files);
    const auto limits = [&](const fs::path& path) {
        const CatalogueEntry* entry = cell.catalogue->find(path);
        return entry ? entry->limits : std::nullopt;
    };
    auto box = limits(cell.files.base);
    if (!box)
        return extent_of(cell.files);
    for (const auto& [number, path] : cell.files.updates)
        if (const auto more = limits(path))
            box =
                LonLatBox{std::min(box->west_deg, more->west_deg), std::min(box->south_deg, more->south_deg),
                          std::max(box->east_deg, more->east_deg), std::max(box->north_deg, more->north_deg)};
    return box;
}

void choose_cells(FoundSources& sources, std::span<const LonLatBox> wanted, Diagnostics& diagnostics) {
    std::vector<char> keep(sources.cells.size(), 1); // not bool: threads write beside each other
    parallel_for(sources.cells.size(), [&](std::size_t i) {
        if (const auto box = extent_of(sources.cells[i]))
            keep[i] =
                std::any_of(wanted.begin(), wanted.end(), [&](const LonLatBox& w) { return meet(*box, w); })
                    ? 1
                    : 0;
    });
    std::vector<FoundCell> kept;
    for (std::size_t i = 0; i < keep.size(); ++i)
        if (keep[i])
            kept.push_back(std::move(sources.cells[i]));
    if (kept.size() < keep.size())
        diagnostics.push_back({Severity::note, "", "",
                               fmt::format("{} of {} cells lie elsewhere and were not read",
                                           keep.size() - kept.size(), keep.size())});
    sources.cells = std::move(kept);
}

Cell read_found_cell(const FoundCell& cell, Diagnostics& diagnostics, const Laying* laying) {
    std::vector<std::string> wrong;
    if (cell.catalogue)
        wrong = check(*cell.catalogue, cell.files, diagnostics);
    Cell read = read_cell(cell.files, diagnostics, laying);
    read.distrust.insert(read.distrust.end(), wrong.begin(), wrong.end());
    return read;
}

} // namespace dangerline::chart
