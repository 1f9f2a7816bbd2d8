#include "dangerline/files/routes.hpp"

#include "dangerline/files/gdal_quiet.hpp"
#include "files/drawn_file.hpp"
#include "files/gpx_numbers.hpp"
#include "files/half_width.hpp"

#include <algorithm>
#include <cmath>
#include <fmt/format.h>
#include <map>
#include <ogrsf_frmts.h>

namespace dangerline::files {

namespace fs = std::filesystem;

namespace {

using Part = std::vector<geo::Position>;

constexpr const char* a_line = "a route or track in GPX, or a line in GeoJSON, with at least two places";

/// What all messages about one file share.
struct Reader : DrawnFile {
    Reader(std::string path, Diagnostics& all)
        : DrawnFile{std::move(path), a_line, "drawing and saving the route again"}, diagnostics(all) {}
    Diagnostics& diagnostics;
    bool gpx = false;
    double lon_limit = 360.0; ///< GPX has its own, narrower one

    void say(Severity severity, const std::string& object, std::string what) const {
        diagnostics.push_back({severity, file, object, std::move(what)});
    }
};

GDALDatasetUniquePtr open(Reader& reader, const fs::path& path) {
    register_drivers();
    GdalMessages messages;
    const char* const drivers[] = {"GPX", "GeoJSON", nullptr};
    // An absolute path can't be taken for one of GDAL's own prefixes.
    GDALDatasetUniquePtr dataset(GDALDataset::Open(
        fs::absolute(path).c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers, nullptr, nullptr));
    if (!dataset) {
        const std::string why = messages.empty() ? "" : ": " + messages.text();
        reader.fail("", "can't be read as GPX or GeoJSON" + why, "a whole GPX or GeoJSON file",
                    "exporting the route as GPX");
    }
    reader.gpx = dataset->GetDriverName() == std::string("GPX");
    reader.lon_limit = reader.gpx ? 180.0 : 360.0;
    if (messages.failed())
        reader.fail("", messages.text(), "a whole GPX or GeoJSON file", "exporting the route again");
    messages.move_to(reader.diagnostics, reader.file);
    return dataset;
}

std::vector<Part> parts_of(const OGRGeometry& geometry) {
    std::vector<Part> parts;
    const auto take = [&](const OGRLineString& line) {
        Part& part = parts.emplace_back();
        for (const OGRPoint& point : line)
            part.push_back({point.getX(), point.getY()});
    };
    if (wkbFlatten(geometry.getGeometryType()) == wkbLineString)
        take(*geometry.toLineString());
    else
        for (const OGRLineString* line : *geometry.toMultiLineString())
            take(*line);
    return parts;
}

/// The two ends of a cut at the antimeridian (RFC 7946 3.1.9), or one place twice.
bool touch(const geo::Position& end, const geo::Position& start) {
    constexpr double same = 1e-9; // 0.1 mm; writers keep 7 decimals or more, and write both ends alike
    const double turn = std::abs(end.lon_deg - start.lon_deg);
    return std::abs(end.lat_deg - start.lat_deg) <= same && (turn <= same || std::abs(turn - 360.0) <= same);
}

Part joined(const Reader& reader, const std::string& object, const std::vector<Part>& parts) {
    Part line;
    for (const Part& part : parts) {
        std::size_t first = 0;
        if (!line.empty() && !part.empty()) {
            if (touch(line.back(), part.front()))
                first = 1;
            else
                reader.say(Severity::warning, object,
                           fmt::format("the line is broken after place {}; the gap is drawn straight through",
                                       line.size()));
        }
        line.insert(line.end(), part.begin() + static_cast<std::ptrdiff_t>(first), part.end());
    }
    return line;
}

/// Names of GPX route points by (route, point).
using PlaceNames = std::map<std::pair<GIntBig, std::size_t>, std::string>;

PlaceNames place_names(GDALDataset& dataset) {
    PlaceNames names;
    OGRLayer* layer = dataset.GetLayerByName("route_points");
    if (!layer)
        return names;
    for (const auto& point : *layer)
        names[{point->GetFieldAsInteger64("route_fid"),
               static_cast<std::size_t>(point->GetFieldAsInteger64("route_point_id"))}] =
            point->GetFieldAsString("name");
    return names;
}

std::optional<DrawnRoute> route_of(const Reader& reader, const OGRFeature& feature, const std::string& object,
                                   const PlaceNames& names) {
    const OGRGeometry* geometry = feature.GetGeometryRef();
    if (!geometry) // GDAL gives the same for none and for one it can't read
        reader.fail(object, "has no geometry that can be read", a_line, "drawing it again, or removing it");
    const auto type = wkbFlatten(geometry->getGeometryType());
    if (type != wkbLineString && type != wkbMultiLineString) {
        reader.say(Severity::note, object,
                   fmt::format("a {} is not a line; left out", geometry->getGeometryName()));
        return std::nullopt;
    }
    DrawnRoute route;
    route.source = reader.file + ": " + object;
    if (const int name = feature.GetFieldIndex("name"); name >= 0)
        route.name = feature.GetFieldAsString(name);
    const std::string named = route.name.empty() ? object : fmt::format("{} '{}'", object, route.name);
    route.places = joined(reader, named, parts_of(*geometry));
    for (std::size_t i = 0; i < route.places.size(); ++i)
        reader.check_place(named, i + 1, route.places[i], reader.lon_limit);
    if (route.places.size() < 2)
        reader.fail(named,
                    fmt::format("has {} place{}", route.places.size(), route.places.empty() ? "s" : ""),
                    "at least two places", "drawing the whole route, or removing it from the file");
    run_on(route.places);
    read_half_width(feature, reader.file, named, route);
    for (std::size_t i = 0; i < route.places.size(); ++i)
        if (const auto found = names.find({feature.GetFID(), i});
            found != names.end() && !found->second.empty()) {
            route.place_names.resize(route.places.size());
            route.place_names[i] = found->second;
        }
    return route;
}

std::size_t read_layer(const Reader& reader, OGRLayer& layer, const std::string& kind,
                       const PlaceNames& names, std::vector<DrawnRoute>& routes) {
    GdalMessages messages;
    std::size_t number = 0;
    std::size_t points = 0;
    for (const auto& feature : layer) {
        const std::string object = fmt::format("{} {}", kind, ++number);
        if (messages.failed())
            break;
        if (const OGRGeometry* geometry = feature->GetGeometryRef(); geometry && reader.gpx)
            for (const Part& part : parts_of(*geometry))
                points += part.size();
        if (auto route = route_of(reader, *feature, object, names))
            routes.push_back(std::move(*route));
    }
    if (messages.failed())
        reader.fail(fmt::format("{} {}", kind, std::max<std::size_t>(number, 1)), messages.text(),
                    "a whole GPX or GeoJSON file", "exporting the route again");
    messages.move_to(reader.diagnostics, reader.file);
    return points;
}

void read_gpx(const Reader& reader, const fs::path& path, GDALDataset& dataset,
              std::vector<DrawnRoute>& routes) {
    const GpxPoints written = scan_gpx_points(path);
    if (!written.bad.empty())
        reader.fail(written.bad[0].object, written.bad[0].what, "decimal degrees such as 43.5",
                    "correcting that place");
    const PlaceNames names = place_names(dataset);
    for (const auto& [layer, kind, count] : {std::tuple("routes", "route", written.route_points),
                                             std::tuple("tracks", "track", written.track_points)}) {
        const std::size_t read = read_layer(reader, *dataset.GetLayerByName(layer), kind,
                                            kind == std::string("route") ? names : PlaceNames{}, routes);
        if (read != count)
            reader.fail(layer, fmt::format("{} places stand in the file, {} could be read", count, read),
                        "places inside rte or trkseg, text in UTF-8", "exporting the route again");
    }
}

} // namespace

std::vector<DrawnRoute> read_routes(const fs::path& path, Diagnostics& diagnostics) {
    Reader reader(path.string(), diagnostics);
    reader.check_file(path);
    const GDALDatasetUniquePtr dataset = open(reader, path);
    std::vector<DrawnRoute> routes;
    if (reader.gpx) {
        read_gpx(reader, path, *dataset, routes);
    } else {
        for (OGRLayer* layer : dataset->GetLayers()) {
            reader.check_reference(*layer);
            read_layer(reader, *layer, "feature", {}, routes);
        }
    }
    if (routes.empty())
        reader.fail("", "there is no line in it", a_line, "drawing the route as a line, not as marks");
    return routes;
}

std::vector<geo::Position> swapped(const std::vector<geo::Position>& places) {
    std::vector<geo::Position> result;
    for (const geo::Position& p : places) {
        if (std::abs(geo::normal_longitude(p.lon_deg)) > 90.0)
            return {};
        result.push_back({p.lat_deg, geo::normal_longitude(p.lon_deg)});
    }
    return result;
}

} // namespace dangerline::files
