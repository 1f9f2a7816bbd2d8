// From GDAL's features to this program's.
#pragma once

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/chart/prescan.hpp"

namespace dangerline::chart {

/// Reads every layer of an open S-57 dataset (a GDALDatasetH) into cell.features.
void read_features(void* dataset, const Prescan& scan, Cell& cell, Diagnostics& diagnostics);

} // namespace dangerline::chart
