// Vector sources made by GDAL for tests.
#pragma once

#include <algorithm>
#include <map>
#include <stdexcept>
#include <string>
#include <tuple>
#include <utility>
#include <vector>

#include <ogrsf_frmts.h>

namespace vector_files {

struct Object {
    std::string cls;
    std::string wkt;
    std::vector<std::pair<std::string, std::string>> attributes;
};

struct Format {
    const char* driver;
    const char* ending;
    bool class_property; ///< one layer with `class`, else one layer for each class and primitive
};

inline void register_writers() {
    RegisterOGRGeoJSON();
    RegisterOGRGeoPackage();
    RegisterOGRFlatGeobuf();
    RegisterOGRShape();
}

struct LayerKey {
    std::string name;
    OGRwkbGeometryType type;
    bool operator<(const LayerKey& o) const { return std::tie(name, type) < std::tie(o.name, o.type); }
};

inline OGRGeometryUniquePtr geometry(const std::string& wkt) {
    OGRGeometry* raw = nullptr;
    if (!wkt.empty() && OGRGeometryFactory::createFromWkt(wkt.c_str(), nullptr, &raw) != OGRERR_NONE)
        throw std::runtime_error("bad WKT " + wkt);
    return OGRGeometryUniquePtr(raw);
}

inline void write_layer(GDALDataset& dataset, const std::string& name, OGRwkbGeometryType type, int epsg,
                        bool class_property, const std::vector<const Object*>& objects) {
    OGRSpatialReference srs;
    if (epsg > 0)
        srs.importFromEPSG(epsg);
    srs.SetAxisMappingStrategy(OAMS_TRADITIONAL_GIS_ORDER);
    OGRLayer* layer = dataset.CreateLayer(name.c_str(), epsg > 0 ? &srs : nullptr, type, nullptr);
    if (!layer)
        throw std::runtime_error("no layer " + name);
    std::vector<std::string> fields;
    if (class_property)
        fields.push_back("class");
    for (const auto* object : objects)
        for (const auto& [key, value] : object->attributes)
            if (std::find(fields.begin(), fields.end(), key) == fields.end())
                fields.push_back(key);
    for (const auto& field : fields) {
        OGRFieldDefn definition(field.c_str(), OFTString);
        if (layer->CreateField(&definition) != OGRERR_NONE)
            throw std::runtime_error("no field " + field);
    }
    for (const auto* object : objects) {
        OGRFeature feature(layer->GetLayerDefn());
        if (class_property)
            feature.SetField("class", object->cls.c_str());
        for (const auto& [key, value] : object->attributes)
            feature.SetField(feature.GetFieldIndex(key.substr(0, 10).c_str()), value.c_str());
        feature.SetGeometryDirectly(geometry(object->wkt).release());
        if (layer->CreateFeature(&feature) != OGRERR_NONE)
            throw std::runtime_error("can't write " + object->cls);
    }
}

/// Writes the objects to `path` (a folder for Shapefile). epsg 0: no reference system.
inline void write(const std::string& path, const Format& format, const std::vector<Object>& objects,
                  int epsg = 4326) {
    register_writers();
    GDALDriver* driver = GetGDALDriverManager()->GetDriverByName(format.driver);
    const GDALDatasetUniquePtr dataset(driver->Create(path.c_str(), 0, 0, 0, GDT_Unknown, nullptr));
    if (!dataset)
        throw std::runtime_error("can't make " + path);
    std::map<LayerKey, std::vector<const Object*>> layers;
    for (const auto& object : objects) {
        const auto g = geometry(object.wkt);
        if (format.class_property)
            layers[{"chart", wkbSetZ(wkbUnknown)}].push_back(&object);
        else
            layers[{object.cls, g ? g->getGeometryType() : wkbNone}].push_back(&object);
    }
    int number = 0;
    for (const auto& [key, list] : layers) {
        const std::string name = format.class_property ? key.name : key.name + "_" + std::to_string(++number);
        write_layer(*dataset, name, key.type, epsg, format.class_property, list);
    }
}

} // namespace vector_files
