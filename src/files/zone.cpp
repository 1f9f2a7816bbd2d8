#include "dangerline/files/zone.hpp"

#include "dangerline/files/gdal_quiet.hpp"
#include "dangerline/geo/regions.hpp"
#include "files/drawn_file.hpp"

#include <fmt/format.h>
#include <ogrsf_frmts.h>

namespace dangerline::files {

namespace fs = std::filesystem;

namespace {

using Ring = std::vector<geo::Position>;

constexpr const char* a_polygon = "a GeoJSON file with one polygon without holes";

GDALDatasetUniquePtr open(const DrawnFile& drawn, const fs::path& path) {
    register_drivers();
    GdalMessages messages;
    const char* const drivers[] = {"GeoJSON", nullptr};
    // An absolute path can't be taken for one of GDAL's own prefixes.
    GDALDatasetUniquePtr dataset(GDALDataset::Open(
        fs::absolute(path).c_str(), GDAL_OF_VECTOR | GDAL_OF_READONLY, drivers, nullptr, nullptr));
    if (!dataset || messages.failed())
        drawn.fail("", "can't be read as GeoJSON" + (messages.empty() ? "" : ": " + messages.text()),
                   a_polygon, drawn.again);
    return dataset;
}

/// Of every polygon its outer ring; refuses holes and whatever is no polygon.
void take(const DrawnFile& drawn, const std::string& object, const OGRGeometry* geometry,
          std::vector<Ring>& rings) {
    if (!geometry) // GDAL gives the same for none and for one it can't read
        drawn.fail(object, "has no geometry that can be read", a_polygon, drawn.again);
    const auto type = wkbFlatten(geometry->getGeometryType());
    if (type == wkbMultiPolygon) {
        for (const OGRPolygon* part : *geometry->toMultiPolygon())
            take(drawn, object, part, rings);
        return;
    }
    if (type != wkbPolygon)
        drawn.fail(object, fmt::format("is a {}", geometry->getGeometryName()), a_polygon, drawn.again);
    const OGRPolygon& polygon = *geometry->toPolygon();
    if (polygon.getNumInteriorRings() > 0)
        drawn.fail(object, "the polygon has a hole", a_polygon,
                   "drawing it without; another station's zone may lie over it");
    Ring& ring = rings.emplace_back();
    if (const OGRLinearRing* outer = polygon.getExteriorRing())
        for (const OGRPoint& point : *outer)
            ring.push_back({point.getX(), point.getY()});
}

void check_ring(const DrawnFile& drawn, Ring& ring) {
    for (std::size_t i = 0; i < ring.size(); ++i)
        drawn.check_place("polygon", i + 1, ring[i], 360.0);
    if (ring.size() < 2 || !(ring.front() == ring.back()))
        drawn.fail("polygon", "its ring is not closed", "the first place again at the end", drawn.again);
    ring.pop_back();
    if (ring.size() < 3)
        drawn.fail("polygon", fmt::format("{} corners bound nothing", ring.size()), "three corners or more",
                   drawn.again);
    run_on(ring);
    geo::Ring flat;
    for (const auto& place : ring)
        flat.push_back({place.lon_deg, place.lat_deg});
    flat.push_back(flat.front());
    if (!geo::mend({{flat}}).valid)
        drawn.fail("polygon", "its ring crosses or touches itself", a_polygon, drawn.again);
}

} // namespace

std::vector<geo::Position> read_zone(const fs::path& path) {
    const DrawnFile drawn{path.string(), a_polygon, "drawing and saving the zone again"};
    drawn.check_file(path);
    const GDALDatasetUniquePtr dataset = open(drawn, path);
    GdalMessages messages;
    std::vector<Ring> rings;
    std::size_t number = 0;
    for (OGRLayer* layer : dataset->GetLayers()) {
        drawn.check_reference(*layer);
        for (const auto& feature : *layer)
            take(drawn, fmt::format("feature {}", ++number), feature->GetGeometryRef(), rings);
    }
    if (messages.failed())
        drawn.fail("", messages.text(), a_polygon, drawn.again);
    if (rings.size() != 1)
        drawn.fail("",
                   rings.empty() ? "there is no polygon in it"
                                 : fmt::format("there are {} polygons in it", rings.size()),
                   a_polygon, drawn.again);
    check_ring(drawn, rings.front());
    return rings.front();
}

} // namespace dangerline::files
