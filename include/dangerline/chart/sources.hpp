// All a plan may name as charts: cells, folders, exchange sets, zip archives, vector sources.
//
//   auto found = chart::find_sources(plan.charts, diagnostics);
//   chart::choose_cells(found, chart::boxes_along(route, 3 * 1852.0), diagnostics);
//   for (const auto& cell : found.cells)
//       cells.push_back(chart::read_found_cell(cell, diagnostics));
//   for (const auto& path : found.vectors)
//       cells.push_back(chart::read_vector_chart(path, stated, diagnostics));
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <span>
#include <vector>

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/catalogue.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/chart/extent.hpp"

namespace dangerline::chart {

struct FoundCell {
    CellFiles files; ///< may lie in an archive: "charts.zip/ENC_ROOT/X/X.000"
    /// The exchange set the cell came with, if any.
    std::shared_ptr<const Catalogue> catalogue;
};

struct FoundSources {
    std::vector<FoundCell> cells;
    std::vector<std::filesystem::path> vectors;
};

/// Looks for charts without reading any but catalogues. A folder is searched through for cells and
/// catalogues; one without a cell but with a Shapefile in it is a vector source. Naming a CATALOG.031 is
/// naming its folder. Archives inside folders or archives, and vector sources inside folders of cells, are
/// not looked into; name them themselves.
/// Failure (data): as find_cells(), packed_files() and read_catalogue() say, and where one cell stands twice.
FoundSources find_sources(const std::vector<std::filesystem::path>& paths, Diagnostics& diagnostics);

/// Bounds of a cell: from its catalogue where that gives some for the base, together with those of its
/// updates; else from its records. Nothing where neither can be had.
std::optional<LonLatBox> extent_of(const FoundCell& cell);

/// Keeps the cells that meet any of the boxes, and those whose bounds can't be had (reading them says why).
/// How many were left out goes to `diagnostics` as a note. A catalogue's limits are believed.
void choose_cells(FoundSources& sources, std::span<const LonLatBox> wanted, Diagnostics& diagnostics);

/// read_cell() after the files have been checked against the catalogue: a checksum that differs and an update
/// that is missing make the cell distrusted; a file the catalogue does not name is a warning.
Cell read_found_cell(const FoundCell& cell, Diagnostics& diagnostics, const Laying* laying = nullptr);

} // namespace dangerline::chart
