// GDAL reads lat="43,5" as 43, lat="" as 0 and leaves out points without a latitude, all in silence: the
// numbers are checked in the text itself before GDAL opens it.
#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace dangerline::files {

/// What stands in a GPX file's text.
struct GpxPoints {
    std::size_t route_points = 0; ///< rtept elements
    std::size_t track_points = 0; ///< trkpt elements
    struct Bad {
        std::string object; ///< "rtept 3 (line 12)"
        std::string what;   ///< "lat is '43,5', which is no number"
    };
    std::vector<Bad> bad{}; ///< points whose lat or lon is missing or no decimal number
};

/// Looks at the start tags of a file; comments, CDATA and declarations are passed over.
GpxPoints scan_gpx_points(const std::filesystem::path& path);

} // namespace dangerline::files
