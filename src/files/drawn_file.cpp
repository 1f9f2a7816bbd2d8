#include "files/drawn_file.hpp"

#include "dangerline/base/error.hpp"

#include <cmath>
#include <fmt/format.h>
#include <ogrsf_frmts.h>

namespace dangerline::files {

namespace fs = std::filesystem;

void DrawnFile::fail(std::string object, std::string what, std::string wanted, std::string remedy) const {
    throw Failure(Fault::data,
                  {file, std::move(object), std::move(what), std::move(wanted), std::move(remedy)});
}

void DrawnFile::check_file(const fs::path& path) const {
    std::error_code error;
    const auto status = fs::status(path, error);
    if (!fs::exists(status))
        fail("", "no such file", expected, "the path, which is taken relative to the plan");
    if (!fs::is_regular_file(status))
        fail("", fs::is_directory(status) ? "is a folder" : "is not a regular file", expected,
             "the file itself");
    if (fs::file_size(path, error) == 0 && !error)
        fail("", "the file is empty", expected, again);
}

void DrawnFile::check_reference(OGRLayer& layer) const {
    const OGRSpatialReference* srs = layer.GetSpatialRef();
    OGRSpatialReference wgs84;
    wgs84.SetWellKnownGeogCS("WGS84");
    wgs84.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    const char* const any_axes[] = {"IGNORE_DATA_AXIS_TO_SRS_AXIS_MAPPING=YES", "CRITERION=EQUIVALENT",
                                    nullptr};
    if (srs && !srs->IsSame(&wgs84, any_axes))
        fail(layer.GetName(), fmt::format("coordinates are in {}", srs->GetName()),
             "longitude and latitude on WGS 84, as RFC 7946 has it", "exporting in WGS 84 (EPSG:4326)");
}

void DrawnFile::check_place(const std::string& object, std::size_t number, const geo::Position& p,
                            double lon_limit) const {
    const auto say = [&](const std::string& what) {
        fail(object, fmt::format("place {}: {}", number, what),
             fmt::format("longitude within {0} and latitude within 90 degrees", lon_limit),
             "correcting that place");
    };
    if (!std::isfinite(p.lon_deg) || !std::isfinite(p.lat_deg))
        say("a coordinate is not a number");
    const bool lon_fits = std::abs(p.lon_deg) <= lon_limit;
    if (std::abs(p.lat_deg) <= 90.0 && lon_fits)
        return;
    const bool swap_fits = std::abs(p.lon_deg) <= 90.0 && std::abs(p.lat_deg) <= lon_limit;
    const char* hint = swap_fits ? "; longitude and latitude look swapped" : "";
    if (lon_fits)
        say(fmt::format("latitude {} is out of range{}", p.lat_deg, hint));
    say(fmt::format("longitude {} is out of range{}", p.lon_deg, hint));
}

void run_on(std::vector<geo::Position>& line) {
    for (std::size_t i = 1; i < line.size(); ++i)
        if (std::abs(line[i].lon_deg - line[i - 1].lon_deg) > 180.0)
            line[i].lon_deg = geo::longitude_near(line[i].lon_deg, line[i - 1].lon_deg);
}

} // namespace dangerline::files
