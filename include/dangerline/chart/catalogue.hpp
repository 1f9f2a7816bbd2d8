// The catalogue of an exchange set: which files belong to it, where they lie, their checksums.
#pragma once

#include <cstdint>
#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/extent.hpp"

namespace dangerline::chart {

/// One CATD field (S-57 Ed 3.1 part 3, 7.2.1).
struct CatalogueEntry {
    std::string file;                ///< FILE as written, with forward strokes
    std::string implementation;      ///< IMPL: BIN, ASC, TXT ...
    std::optional<LonLatBox> limits; ///< SLAT, WLON, NLAT, ELON where all four make a box
    std::string checksum;            ///< CRCS as written; empty where not stated
    std::filesystem::path path;      ///< the file itself; empty where it is missing
};

struct Catalogue {
    std::filesystem::path file; ///< the CATALOG.031
    std::vector<CatalogueEntry> entries;
    std::map<std::string, std::size_t> by_path; ///< of files that are there; for find()
    /// The entry of a file found on disk or in the same archive; nullptr where the catalogue lacks it.
    const CatalogueEntry* find(const std::filesystem::path& path) const;
};

/// True for CATALOG.031 in any letter case.
bool is_catalogue(const std::filesystem::path& path);

/// Reads a catalogue and looks for its files among `files` (paths that begin like the catalogue's own,
/// compared without letter case). A file that is missing is said: a chart file as broken, others as a
/// warning. Failure (data): can't be read, no ISO 8211, no CATD field.
Catalogue read_catalogue(const std::filesystem::path& path, const std::vector<std::filesystem::path>& files,
                         Diagnostics& diagnostics);

/// What is wrong with the bytes of a file against its entry: a sentence where the CRC-32 differs, which also
/// goes to `diagnostics` as broken; nothing where it agrees. No checksum is a note, one that is no
/// hexadecimal number a warning.
std::optional<std::string> checksum_complaint(const CatalogueEntry& entry, std::string_view bytes,
                                              Diagnostics& diagnostics);

/// Checks every file of the catalogue that is there; a national folder takes its time.
void check_all(const Catalogue& catalogue, Diagnostics& diagnostics);

} // namespace dangerline::chart
