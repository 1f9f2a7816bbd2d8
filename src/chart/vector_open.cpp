#include "chart/vector_open.hpp"

#include "dangerline/chart/vector_source.hpp"
#include "dangerline/files/gdal_quiet.hpp"

#include <algorithm>
#include <array>
#include <mutex>

namespace dangerline::chart {

namespace fs = std::filesystem;

namespace {

struct Format {
    const char* ending;
    const char* driver;
};
constexpr std::array<Format, 5> formats{{{".geojson", "GeoJSON"},
                                         {".json", "GeoJSON"},
                                         {".gpkg", "GPKG"},
                                         {".fgb", "FlatGeobuf"},
                                         {".shp", "ESRI Shapefile"}}};
constexpr const char* expected_endings = "a .geojson, .json, .gpkg, .fgb or .shp file";

std::string lower(std::string text) {
    std::transform(text.begin(), text.end(), text.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    return text;
}

const char* driver_of(const fs::path& path) {
    const std::string ending = lower(path.extension().string());
    for (const auto& format : formats)
        if (ending == format.ending)
            return format.driver;
    return nullptr;
}

bool holds_shapefile(const fs::path& folder) {
    std::error_code error;
    for (auto it = fs::directory_iterator(folder, error); !error && it != fs::directory_iterator();
         it.increment(error))
        if (lower(it->path().extension().string()) == ".shp")
            return true;
    return false;
}

void register_vector_drivers() {
    files::register_drivers();
    static std::once_flag once;
    std::call_once(once, [] {
        RegisterOGRGeoPackage();
        RegisterOGRFlatGeobuf();
        RegisterOGRShape();
    });
}

} // namespace

void refuse_source(const fs::path& path, const std::string& layer, const std::string& what,
                   const std::string& expected, const std::string& remedy) {
    throw Failure(Fault::data, {.file = path.string(),
                                .object = layer.empty() ? "" : "layer " + layer,
                                .what = what,
                                .expected = expected,
                                .remedy = remedy});
}

bool is_vector_source(const fs::path& path) {
    std::error_code error;
    if (fs::is_directory(path, error))
        return holds_shapefile(path);
    return driver_of(path) != nullptr;
}

GDALDatasetUniquePtr open_vector(const fs::path& path) {
    std::error_code error;
    if (!fs::exists(path, error))
        refuse_source(path, "", "no such file", "",
                      "check the path; paths in a plan start at the plan's folder");
    const bool folder = fs::is_directory(path, error);
    const char* driver = folder && holds_shapefile(path) ? "ESRI Shapefile" : driver_of(path);
    if (!driver)
        refuse_source(path, "", "no vector chart", expected_endings, "export it to one of these formats");
    register_vector_drivers();
    files::GdalMessages messages;
    const char* const drivers[] = {driver, nullptr};
    // An absolute path can't be taken for one of GDAL's own prefixes.
    GDALDatasetUniquePtr dataset(GDALDataset::Open(
        fs::absolute(path).c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers, nullptr, nullptr));
    if (!dataset || messages.failed())
        refuse_source(path, "",
                      std::string("can't be read as ") + driver +
                          (messages.empty() ? "" : ": " + messages.text()),
                      expected_endings, "export it again");
    return dataset;
}

WayToWgs84 way_to_wgs84(const fs::path& path, OGRLayer& layer) {
    const OGRSpatialReference* own = layer.GetSpatialRef();
    const std::string name = own && own->GetName() ? own->GetName() : "";
    // GeoPackage's codes 0 and -1 come as systems of that name; a local system lies nowhere.
    if (!own || own->IsLocal() || lower(name).starts_with("undefined"))
        refuse_source(path, layer.GetName(), "no reference system is stated",
                      "one that names what its coordinates mean",
                      "state it (a Shapefile needs its .prj file), or export as GeoJSON");
    OGRSpatialReference from(*own), wgs84;
    wgs84.SetWellKnownGeogCS("WGS84");
    wgs84.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    from.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    WayToWgs84 way;
    if (from.IsSame(&wgs84))
        return way;
    OGRCoordinateTransformationOptions options;
    // A guess (no shift of datum where none is known) may be hundreds of metres off.
    options.SetBallparkAllowed(false);
    files::GdalMessages messages;
    way.transformation.reset(OGRCreateCoordinateTransformation(&from, &wgs84, options));
    if (!way.transformation)
        refuse_source(path, layer.GetName(), "no transformation from " + name + " to WGS 84 is known",
                      "a reference system PROJ can transform", "export it in WGS 84");
    // Straight in the projection is not straight on the chart; at a kilometre the two are 0.1 m apart at
    // most up to 75 degrees.
    if (from.IsProjected())
        way.cut_every = 1000.0 / from.GetLinearUnits();
    return way;
}

} // namespace dangerline::chart
