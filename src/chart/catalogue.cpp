#include "dangerline/chart/catalogue.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/chart/record.hpp"
#include "dangerline/files/packed.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
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

std::string key(const fs::path& path) {
    return lower(path.lexically_normal().generic_string());
}

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && text.front() == ' ')
        text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ')
        text.remove_suffix(1);
    return text;
}

std::optional<double> degrees(std::string_view text, double bound) {
    text = trimmed(text);
    if (text.starts_with('+'))
        text.remove_prefix(1);
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    const bool good = error == std::errc() && end == text.data() + text.size() && std::abs(value) <= bound;
    return good ? std::optional(value) : std::nullopt;
}

CatalogueEntry read_entry(const Field& field) {
    SubfieldReader in(field);
    in.fixed(2 + 10); // RCNM, RCID
    CatalogueEntry entry;
    entry.file = trimmed(in.text());
    std::replace(entry.file.begin(), entry.file.end(), '\\', '/');
    in.text(); // LFIL
    in.text(); // VOLM
    entry.implementation = in.fixed(3);
    const auto south = degrees(in.text(), 90.0), west = degrees(in.text(), 180.0);
    const auto north = degrees(in.text(), 90.0), east = degrees(in.text(), 180.0);
    if (south && west && north && east && *south <= *north) // west beyond east: across the antimeridian
        entry.limits = LonLatBox{*west, *south, *east < *west ? *east + 360.0 : *east, *north};
    entry.checksum = trimmed(in.text());
    return entry;
}

bool is_chart_file(const fs::path& path) {
    const std::string ending = path.extension().string();
    return ending.size() == 4 && lower(path.filename().string()) != "catalog.031" &&
           std::all_of(ending.begin() + 1, ending.end(), [](char c) { return c >= '0' && c <= '9'; });
}

std::vector<CatalogueEntry> read_entries(const fs::path& path) {
    const std::string bytes = files::read_bytes(path);
    std::vector<CatalogueEntry> entries;
    std::string fault = "it holds no CATD field";
    try {
        RecordReader reader(bytes);
        Record record;
        while (reader.next(record))
            if (const Field* field = record.kind == 'D' ? record.find("CATD") : nullptr)
                entries.push_back(read_entry(*field));
    } catch (const RecordFault& e) {
        entries.clear();
        fault = fmt::format("{} at byte {}", e.what(), e.offset());
    }
    if (entries.empty())
        throw Failure(Fault::data, {.file = path.string(),
                                    .what = "the catalogue can't be read: " + fault,
                                    .expected = "a CATALOG.031 as S-57 part 3 describes it",
                                    .remedy = "get the exchange set again, or remove the catalogue to read "
                                              "the cells unchecked"});
    return entries;
}

} // namespace

bool is_catalogue(const fs::path& path) {
    return lower(path.filename().string()) == "catalog.031";
}

const CatalogueEntry* Catalogue::find(const fs::path& path) const {
    const auto at = by_path.find(key(path));
    return at == by_path.end() ? nullptr : &entries[at->second];
}

Catalogue read_catalogue(const fs::path& path, const std::vector<fs::path>& files, Diagnostics& diagnostics) {
    Catalogue catalogue{path, read_entries(path), {}};
    std::map<std::string, const fs::path*> there;
    for (const auto& file : files)
        there.emplace(key(file), &file);
    const fs::path root = path.parent_path();
    for (std::size_t i = 0; i < catalogue.entries.size(); ++i) {
        auto& entry = catalogue.entries[i];
        // Some producers begin at the folder above.
        for (const auto& folder : {root, root.parent_path()})
            if (const auto at = there.find(key(folder / entry.file)); at != there.end() && entry.path.empty())
                entry.path = *at->second;
        if (!entry.path.empty())
            catalogue.by_path.emplace(key(entry.path), i);
        else if (!is_catalogue(entry.file))
            diagnostics.push_back({is_chart_file(entry.file) ? Severity::broken : Severity::warning,
                                   path.string(), entry.file,
                                   "named in the catalogue of the exchange set, but missing"});
    }
    return catalogue;
}

std::optional<std::string> checksum_complaint(const CatalogueEntry& entry, std::string_view bytes,
                                              Diagnostics& diagnostics) {
    const auto say = [&](Severity severity, std::string what) {
        diagnostics.push_back({severity, entry.path.string(), "", std::move(what)});
    };
    if (entry.checksum.empty()) {
        say(Severity::note, "the catalogue states no checksum for this file");
        return std::nullopt;
    }
    std::uint32_t stated = 0;
    const char* const end = entry.checksum.data() + entry.checksum.size();
    if (const auto read = std::from_chars(entry.checksum.data(), end, stated, 16);
        read.ec != std::errc() || read.ptr != end) {
        say(Severity::warning,
            fmt::format("the catalogue's checksum \"{}\" is no hexadecimal number", entry.checksum));
        return std::nullopt;
    }
    const std::uint32_t found = files::crc32(bytes);
    if (found == stated)
        return std::nullopt;
    std::string what = fmt::format("checksum {:08X} is not the catalogue's {:08X}: the file is damaged, or "
                                   "not the one that was sent",
                                   found, stated);
    say(Severity::broken, what);
    return what;
}

void check_all(const Catalogue& catalogue, Diagnostics& diagnostics) {
    for (const auto& entry : catalogue.entries)
        if (!entry.path.empty() && !is_catalogue(entry.path))
            checksum_complaint(entry, files::read_bytes(entry.path), diagnostics);
}

} // namespace dangerline::chart
