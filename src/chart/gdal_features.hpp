// From GDAL's features to this program's.
#pragma once

#include "dangerline/base/diagnostics.hpp"
#include "dangerline/chart/cell.hpp"
#include "dangerline/chart/prescan.hpp"

namespace dangerline::chart {

/// Objects GDAL gave, of those in the file's records whose class was wanted.
struct Completeness {
    std::size_t given = 0, recorded = 0;
};

/// Reads every layer of an open S-57 dataset (a GDALDatasetH) into cell.features. With `laying` only GDAL's
/// part is done on this thread: others take the objects over as they come and lay them out, and classes
/// nobody wants are left out. Objects are counted class by class: too many of one make up for none of
/// another.
Completeness read_features(void* dataset, const Prescan& scan, Cell& cell, Diagnostics& diagnostics,
                           const Laying* laying);

} // namespace dangerline::chart
