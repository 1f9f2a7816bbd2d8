// From GDAL's features to this program's.
#pragma once

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/chart/prescan.hpp"

namespace dangerline::chart {

class ObjectLayer;

/// Reads every layer of an open S-57 dataset (a GDALDatasetH) into cell.features. `layer` gets them as they
/// come, and says which classes it wants; null: nobody gets them, all are read. How many objects were left
/// out.
std::size_t read_features(void* dataset, const Prescan& scan, Cell& cell, Diagnostics& diagnostics,
                          ObjectLayer* layer);

} // namespace dangerline::chart
