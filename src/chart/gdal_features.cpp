#include "chart/gdal_features.hpp"

#include "chart/object_layer.hpp"
#include "chart/units.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <deque>
#include <map>
#include <memory>
#include <optional>
#include <set>
#include <span>

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

/// What the objects of one layer have in common.
struct LayerFields {
    std::string cls;
    std::vector<Column> columns;
    int lnam = -1;
    int prim = -1;
    int objl = -1;

    explicit LayerFields(OGRLayerH layer) : cls(OGR_L_GetName(layer)) {
        // RECORD fields of GDAL's own; everything after them is an S-57 attribute.
        static constexpr const char* own[] = {"RCID", "PRIM", "GRUP", "OBJL",      "RVER",     "AGEN",
                                              "FIDN", "FIDS", "LNAM", "LNAM_REFS", "FFPT_RIND"};
        OGRFeatureDefnH definition = OGR_L_GetLayerDefn(layer);
        for (int i = 0; i < OGR_FD_GetFieldCount(definition); ++i) {
            OGRFieldDefnH field = OGR_FD_GetFieldDefn(definition, i);
            const std::string name = OGR_Fld_GetNameRef(field);
            if (std::any_of(std::begin(own), std::end(own), [&](const char* o) { return name == o; }))
                continue;
            columns.push_back({i, name, OGR_Fld_GetType(field) == OFTReal, unit_of(name)});
        }
        lnam = OGR_FD_GetFieldIndex(definition, "LNAM");
        prim = OGR_FD_GetFieldIndex(definition, "PRIM");
        objl = OGR_FD_GetFieldIndex(definition, "OBJL");
    }
};

/// One object out of GDAL's feature.
struct ObjectReader {
    const Cell& cell;
    const Prescan& scan;
    const LayerFields& fields;
    Diagnostics& said;
    bool out_of_range = false;

    void say(Severity severity, const Feature& f, const std::string& what) {
        said.push_back({severity, cell.file, f.cls + " " + to_text(f.id), what});
    }

    void read_attributes(OGRFeatureH source, Feature& f) {
        for (const auto& c : fields.columns) {
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

    /// False where the pre-scan has not seen it.
    bool read(OGRFeatureH source, Feature& f) {
        f.cls = fields.cls;
        if (fields.lnam >= 0)
            if (const auto id = parse_long_name(OGR_F_GetFieldAsString(source, fields.lnam)))
                f.id = *id;
        read_attributes(source, f);
        const auto* summary = scan.find(f.id);
        if (summary) {
            if (summary->worst_quapos != 0)
                f.quapos = summary->worst_quapos;
            f.posacc_m = summary->posacc;
        } else {
            say(Severity::broken, f, "none of the objects in the file's records");
        }
        OGRGeometryH g = OGR_F_GetGeometryRef(source);
        const int primitive = fields.prim >= 0 ? OGR_F_GetFieldAsInteger(source, fields.prim) : 255;
        f.broken_geometry = g ? !read_geometry(g, f.geometry) : primitive >= 1 && primitive <= 3;
        if (f.broken_geometry)
            say(Severity::broken, f,
                !g             ? "no geometry where there should be one"
                : out_of_range ? "a place outside the range of longitude and latitude; dropped"
                               : "a ring that does not close, or an empty geometry");
        if (out_of_range) // nothing can be measured from such a place; whoever needs it must go without
            f.geometry = {};
        if (f.cls == "SOUNDG")
            check_soundings(f);
        return summary != nullptr;
    }
};

struct DestroyFeature {
    void operator()(void* feature) const { OGR_F_Destroy(feature); }
};

/// The objects of a cell while GDAL still gives more. fill() may run on other threads for objects that were
/// added; nothing else may while it does, and add() only as long as there is room.
class Objects {
  public:
    Objects(const Prescan& scan, Cell& cell, std::size_t expected) : scan_(scan), cell_(cell) {
        make_room(expected);
    }

    std::size_t count() const { return count_; }
    std::span<Feature> added() { return std::span(cell_.features).first(count_); }
    bool full() const { return count_ == given_.size(); }
    void make_room(std::size_t more) {
        given_.resize(count_ + more);
        cell_.features.resize(count_ + more);
    }
    void add(OGRFeatureH source, const LayerFields& fields) {
        given_[count_].source.reset(source);
        given_[count_].fields = &fields;
        ++count_;
    }
    void fill(std::size_t i) {
        Given& given = given_[i];
        ObjectReader reader{cell_, scan_, *given.fields, given.said};
        given.known = reader.read(given.source.get(), cell_.features[i]);
        given.source.reset();
    }
    /// When all are filled: what was said of them, in their order.
    void settle(Diagnostics& diagnostics) {
        cell_.features.resize(count_);
        for (std::size_t i = 0; i < count_; ++i) {
            diagnostics.insert(diagnostics.end(), given_[i].said.begin(), given_[i].said.end());
            if (!given_[i].known)
                cell_.distrust.push_back(cell_.features[i].cls + " " + to_text(cell_.features[i].id) +
                                         " is none of the objects in the file's records");
        }
    }

  private:
    struct Given {
        std::unique_ptr<void, DestroyFeature> source{};
        const LayerFields* fields = nullptr;
        Diagnostics said{};
        bool known = false;
    };

    const Prescan& scan_;
    Cell& cell_;
    std::vector<Given> given_;
    std::size_t count_ = 0;
};

} // namespace

namespace {

/// Code of a layer's class, by its first object; nothing for a layer without any.
std::optional<int> class_code(OGRLayerH layer) {
    OGR_L_ResetReading(layer);
    const std::unique_ptr<void, DestroyFeature> first(OGR_L_GetNextFeature(layer));
    OGR_L_ResetReading(layer);
    const int field = OGR_FD_GetFieldIndex(OGR_L_GetLayerDefn(layer), "OBJL");
    return first && field >= 0 ? std::optional(OGR_F_GetFieldAsInteger(first.get(), field)) : std::nullopt;
}

/// `given` and `left_out` by class code.
Completeness completeness(const Prescan& scan, const std::map<int, std::size_t>& given,
                          const std::set<int>& left_out) {
    std::map<int, std::size_t> recorded;
    for (const auto& f : scan.features)
        if (!left_out.contains(f.objl))
            ++recorded[f.objl];
    Completeness out;
    for (const auto& [code, count] : recorded) {
        const auto there = given.find(code);
        out.recorded += count;
        out.given += there == given.end() ? 0 : std::min(there->second, count);
    }
    return out;
}

} // namespace

Completeness read_features(void* dataset, const Prescan& scan, Cell& cell, Diagnostics& diagnostics,
                           const Laying* laying) {
    constexpr std::size_t at_once = 32; // few enough that the other thread has work, and seldom woken
    std::vector<OGRLayerH> wanted;
    std::set<int> left_out;
    std::size_t expected = 0;
    for (int i = 0; i < GDALDatasetGetLayerCount(dataset); ++i) {
        OGRLayerH layer = GDALDatasetGetLayer(dataset, i);
        const std::string_view cls = OGR_L_GetName(layer);
        if (cls == "DSID")
            continue;
        if (laying && laying->wanted && !laying->wanted(cls)) {
            if (const auto code = class_code(layer))
                left_out.insert(*code);
            continue;
        }
        wanted.push_back(layer);
        expected += static_cast<std::size_t>(std::max<GIntBig>(OGR_L_GetFeatureCount(layer, TRUE), 0));
    }
    std::deque<LayerFields> layers; // their places in memory stay
    std::map<int, std::size_t> given;
    Objects objects(scan, cell, expected);
    std::optional<ObjectLayer> others;
    if (laying)
        others.emplace(*laying, cell.file, [&](std::size_t i) { objects.fill(i); });
    for (OGRLayerH layer : wanted) {
        const LayerFields& fields = layers.emplace_back(layer);
        OGR_L_ResetReading(layer);
        while (OGRFeatureH feature = OGR_L_GetNextFeature(layer)) {
            if (objects.full()) {
                if (others)
                    others->let_go();
                objects.make_room(objects.count() + at_once);
            }
            if (fields.objl >= 0)
                ++given[OGR_F_GetFieldAsInteger(feature, fields.objl)];
            objects.add(feature, fields);
            if (!others)
                objects.fill(objects.count() - 1);
            else if (objects.count() % at_once == 0)
                others->take(objects.added());
        }
    }
    if (others) {
        others->take(objects.added());
        cell.laid = others->finish();
    }
    objects.settle(diagnostics);
    return completeness(scan, given, left_out);
}

} // namespace dangerline::chart
