// Opening a vector source, and the way from its reference system to WGS 84. Private to the room.
#pragma once

#include "dangerline/base/error.hpp"

#include <filesystem>
#include <memory>
#include <string>

#include <ogrsf_frmts.h>

namespace dangerline::chart {

/// What failures of one source have in common.
[[noreturn]] void refuse_source(const std::filesystem::path& path, const std::string& layer,
                                const std::string& what, const std::string& expected,
                                const std::string& remedy);

/// Throws Failure where the file is missing, of another format, damaged.
GDALDatasetUniquePtr open_vector(const std::filesystem::path& path);

struct DeleteTransformation {
    void operator()(OGRCoordinateTransformation* t) const { OGRCoordinateTransformation::DestroyCT(t); }
};

/// How places of a layer become WGS 84.
struct WayToWgs84 {
    std::unique_ptr<OGRCoordinateTransformation, DeleteTransformation> transformation; ///< null: none needed
    double cut_every = 0.0; ///< units of the layer; 0 where edges need no cutting
};

/// Throws Failure for a layer without a reference system or with one nobody can transform.
WayToWgs84 way_to_wgs84(const std::filesystem::path& path, OGRLayer& layer);

} // namespace dangerline::chart
