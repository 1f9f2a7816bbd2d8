// From GDAL's features to this program's.
#pragma once

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/chart/prescan.hpp"

namespace dangerline::chart {

/// Reads every layer of an open S-57 dataset (a GDALDatasetH) into cell.features. With `laying` only GDAL's
/// part is done on this thread: others take the objects over as they come and lay them out, and classes
/// nobody wants are left out. How many objects were left out.
std::size_t read_features(void* dataset, const Prescan& scan, Cell& cell, Diagnostics& diagnostics,
                          const Laying* laying);

} // namespace dangerline::chart
