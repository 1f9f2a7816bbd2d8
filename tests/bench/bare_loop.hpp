// See bare_loop.cpp.
#pragma once

#include <cstddef>
#include <stdexcept>
#include <string>

#include <gdal.h>
#include <ogr_api.h>
#include <ogrsf_frmts.h>

namespace bench {

/// Opens the cell and reads every feature of every layer; the number of them.
inline std::size_t bare_loop(const std::string& cell) {
    RegisterOGRS57();
    const char* const drivers[] = {"S57", nullptr};
    GDALDatasetH dataset =
        GDALOpenEx(cell.c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers, nullptr, nullptr);
    if (!dataset)
        throw std::runtime_error("GDAL can't open " + cell);
    std::size_t count = 0;
    for (int i = 0; i < GDALDatasetGetLayerCount(dataset); ++i) {
        OGRLayerH layer = GDALDatasetGetLayer(dataset, i);
        while (OGRFeatureH feature = OGR_L_GetNextFeature(layer)) {
            ++count;
            OGR_F_Destroy(feature);
        }
    }
    GDALClose(dataset);
    return count;
}

} // namespace bench
