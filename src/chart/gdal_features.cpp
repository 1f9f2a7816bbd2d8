#include "chart/gdal_features.hpp"

#include "chart/object_layer.hpp"
#include "chart/units.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>

#include <fmt/format.h>
#include <gdal.h>
#include <ogr_api.h>

namespace dangerline::chart {

namespace {

/// Fields of one layer that carry attributes, decided once a layer.
struct Column {
    int index;
    std::string acronym;
    bool real;
    Unit unit;
};

struct LayerReader {
    Cell& cell;
    const Prescan& scan;
    Diagnostics& diagnostics;
    ObjectLayer* layer;
    std::string cls;
    std::vector<Column> columns;
    int lnam = -1;
    int prim = -1;
    bool out_of_range = false;

    void prepare(OGRFeatureDefnH definition) {
        // RECORD fields of GDAL's own; everything after them is an S-57 attribute.
        static constexpr const char* own[] = {"RCID", "PRIM", "GRUP", "OBJL",      "RVER",     "AGEN",
                                              "FIDN", "FIDS", "LNAM", "LNAM_REFS", "FFPT_RIND"};
        for (int i = 0; i < OGR_FD_GetFieldCount(definition); ++i) {
            OGRFieldDefnH field = OGR_FD_GetFieldDefn(definition, i);
            const std::string name = OGR_Fld_GetNameRef(field);
            if (std::any_of(std::begin(own), std::end(own), [&](const char* o) { return name == o; }))
                continue;
            columns.push_back({i, name, OGR_Fld_GetType(field) == OFTReal, unit_of(name)});
        }
        lnam = OGR_FD_GetFieldIndex(definition, "LNAM");
        prim = OGR_FD_GetFieldIndex(definition, "PRIM");
    }

    void say(Severity severity, const Feature& f, const std::string& what) {
        diagnostics.push_back({severity, cell.file, f.cls + " " + to_text(f.id), what});
    }

    void read_attributes(OGRFeatureH source, Feature& f) {
        for (const auto& c : columns) {
            if (!OGR_F_IsFieldSetAndNotNull(source, c.index))
                continue;
            if (c.unit == Unit::none && !c.real) {
                std::string text = OGR_F_GetFieldAsString(source, c.index);
                // Old cells pad their texts with blanks and line ends.
                while (!text.empty() && std::strchr(" \r\n\t", text.back()))
                    text.pop_back();
                f.attributes.set(c.acronym, std::move(text));
                continue;
            }
            double value = OGR_F_GetFieldAsDouble(source, c.index);
            if ((c.unit == Unit::depth && cell.header.duni == depth_unit_feet) ||
                (c.unit == Unit::height && cell.header.huni == height_unit_feet))
                value *= metres_per_foot;
            if (c.unit != Unit::none && !(std::abs(value) <= greatest_m)) {
                say(Severity::warning, f,
                    fmt::format("{} {} is out of range; taken as unknown", c.acronym, value));
                continue;
            }
            f.attributes.set_number(c.acronym, value);
        }
    }

    /// A sounding out of range is one whose depth nobody knows.
    void check_soundings(Feature& f) {
        if (f.geometry.depths_m.size() != f.geometry.points.size()) {
            f.broken_geometry = true;
            say(Severity::broken, f, "soundings without depths");
            f.geometry.depths_m.assign(f.geometry.points.size(), std::nan(""));
        }
        for (double& depth : f.geometry.depths_m)
            if (!(std::abs(depth) <= greatest_m)) {
                say(Severity::warning, f,
                    fmt::format("sounding {} is out of range; taken as unknown", depth));
                depth = std::nan("");
            }
    }

    bool in_range(geo::Position p) {
        const bool good = std::abs(p.lon_deg) <= 180.0 && std::abs(p.lat_deg) <= 90.0;
        out_of_range = out_of_range || !good;
        return good;
    }

    bool place(OGRGeometryH g, int i, geo::Position& p) {
        p = {OGR_G_GetX(g, i), OGR_G_GetY(g, i)};
        return in_range(p);
    }

    bool read_chain(OGRGeometryH g, std::vector<geo::Position>& out) {
        const int n = OGR_G_GetPointCount(g);
        out.resize(static_cast<std::size_t>(std::max(n, 0)));
        if (n > 0)
            OGR_G_GetPoints(g, &out.front().lon_deg, sizeof(geo::Position), &out.front().lat_deg,
                            sizeof(geo::Position), nullptr, 0);
        bool good = n > 0;
        for (const geo::Position& p : out)
            good = in_range(p) && good;
        return good;
    }

    /// Never assumes one part: contours come as multi-lines too. False where something could not be read.
    bool read_geometry(OGRGeometryH g, Geometry& out) {
        switch (wkbFlatten(OGR_G_GetGeometryType(g))) {
        case wkbPoint: {
            out.primitive = Primitive::point;
            geo::Position p;
            if (OGR_G_IsEmpty(g)) // no place at all; the middle of the ocean would be one
                return false;
            const bool good = place(g, 0, p);
            out.points.push_back(p);
            return good;
        }
        case wkbLineString:
            out.primitive = Primitive::line;
            return read_chain(g, out.lines.emplace_back());
        case wkbPolygon: {
            out.primitive = Primitive::area;
            auto& rings = out.polygons.emplace_back();
            bool good = OGR_G_GetGeometryCount(g) > 0;
            for (int i = 0; i < OGR_G_GetGeometryCount(g); ++i) {
                auto& ring = rings.emplace_back();
                good = read_chain(OGR_G_GetGeometryRef(g, i), ring) && good;
                good = good && ring.size() >= 4 && ring.front() == ring.back();
            }
            return good;
        }
        case wkbMultiPoint: {
            out.primitive = Primitive::point;
            const double to_metres = cell.header.duni == depth_unit_feet ? metres_per_foot : 1.0;
            bool good = true;
            for (int i = 0; i < OGR_G_GetGeometryCount(g); ++i) {
                OGRGeometryH point = OGR_G_GetGeometryRef(g, i);
                geo::Position p;
                good = place(point, 0, p) && good;
                out.points.push_back(p);
                if (OGR_G_Is3D(point))
                    out.depths_m.push_back(OGR_G_GetZ(point, 0) * to_metres);
            }
            return good;
        }
        case wkbMultiLineString:
        case wkbMultiPolygon:
        case wkbGeometryCollection: {
            bool good = true;
            for (int i = 0; i < OGR_G_GetGeometryCount(g); ++i)
                good = read_geometry(OGR_G_GetGeometryRef(g, i), out) && good;
            return good;
        }
        default:
            return false;
        }
    }

    void read(OGRFeatureH source) {
        if (layer && cell.features.size() == cell.features.capacity())
            layer->let_go();
        Feature& f = cell.features.emplace_back();
        f.cls = cls;
        if (lnam >= 0)
            if (const auto id = parse_long_name(OGR_F_GetFieldAsString(source, lnam)))
                f.id = *id;
        read_attributes(source, f);
        if (const auto* summary = scan.find(f.id)) {
            if (summary->worst_quapos != 0)
                f.quapos = summary->worst_quapos;
            f.posacc_m = summary->posacc;
        } else {
            cell.distrust.push_back(cls + " " + to_text(f.id) +
                                    " is none of the objects in the file's records");
            say(Severity::broken, f, "none of the objects in the file's records");
        }
        OGRGeometryH g = OGR_F_GetGeometryRef(source);
        const int primitive = prim >= 0 ? OGR_F_GetFieldAsInteger(source, prim) : 255;
        out_of_range = false;
        f.broken_geometry = g ? !read_geometry(g, f.geometry) : primitive >= 1 && primitive <= 3;
        if (f.broken_geometry)
            say(Severity::broken, f,
                !g             ? "no geometry where there should be one"
                : out_of_range ? "a place outside the range of longitude and latitude; dropped"
                               : "a ring that does not close, or an empty geometry");
        if (out_of_range) // nothing can be measured from such a place; whoever needs it must go without
            f.geometry = {};
        if (cls == "SOUNDG")
            check_soundings(f);
    }
};

} // namespace

std::size_t read_features(void* dataset, const Prescan& scan, Cell& cell, Diagnostics& diagnostics,
                          ObjectLayer* objects) {
    constexpr std::size_t at_once = 32; // few enough that the other thread has work, and seldom woken
    cell.features.reserve(scan.features.size());
    std::size_t left_out = 0;
    for (int i = 0; i < GDALDatasetGetLayerCount(dataset); ++i) {
        OGRLayerH layer = GDALDatasetGetLayer(dataset, i);
        LayerReader reader{cell, scan, diagnostics, objects, OGR_L_GetName(layer), {}};
        if (reader.cls == "DSID")
            continue;
        if (objects && !objects->wants(reader.cls)) {
            left_out += static_cast<std::size_t>(std::max<GIntBig>(OGR_L_GetFeatureCount(layer, TRUE), 0));
            continue;
        }
        reader.prepare(OGR_L_GetLayerDefn(layer));
        OGR_L_ResetReading(layer);
        while (OGRFeatureH feature = OGR_L_GetNextFeature(layer)) {
            reader.read(feature);
            OGR_F_Destroy(feature);
            if (objects && cell.features.size() % at_once == 0)
                objects->take(cell.features);
        }
    }
    return left_out;
}

} // namespace dangerline::chart
