#include <cmath>

#include <nlohmann/json.hpp>

#include "overlay/features.hpp"
#include "overlay/geometry.hpp"

namespace dangerline::overlay {

namespace {

using Json = nlohmann::ordered_json;

Json to_json(const Value& value) {
    return std::visit(
        [](const auto& held) -> Json {
            using Held = std::decay_t<decltype(held)>;
            if constexpr (std::is_same_v<Held, List>) {
                Json list = Json::array();
                for (const Value& v : held)
                    list.push_back(to_json(v));
                return list;
            } else if constexpr (std::is_same_v<Held, Members>) {
                Json object = Json::object();
                for (const Member& m : held)
                    object[m.name] = to_json(m.value);
                return object;
            } else {
                return Json(held);
            }
        },
        value.held);
}

Json to_json(const geo::Position& p) {
    return Json::array({p.lon_deg, p.lat_deg});
}

template <typename Part>
Json to_json(const std::vector<Part>& parts) {
    Json list = Json::array();
    for (const Part& part : parts)
        list.push_back(to_json(part));
    return list;
}

Json to_json(const Geometry& geometry) {
    const auto as = [](const char* type, Json coordinates) {
        return Json{{"type", type}, {"coordinates", std::move(coordinates)}};
    };
    if (const auto* place = std::get_if<geo::Position>(&geometry))
        return as("Point", to_json(*place));
    if (const auto* lines = std::get_if<Lines>(&geometry))
        return lines->size() == 1 ? as("LineString", to_json(lines->front()))
                                  : as("MultiLineString", to_json(*lines));
    return as("MultiPolygon", to_json(std::get<Areas>(geometry)));
}

} // namespace

Value Value::number(double number, int decimals) {
    if (!std::isfinite(number))
        return null();
    const double scale = std::pow(10.0, decimals);
    return {std::round(number * scale) / scale + 0.0};
}

Value Value::texts(const std::vector<std::string>& words) {
    List values;
    for (const auto& w : words)
        values.push_back(text(w));
    return list(std::move(values));
}

Value Value::list(List values) {
    return {std::move(values)};
}

Value Value::object(Members members) {
    return {std::move(members)};
}

std::string to_geojson(const std::vector<Feature>& features, const Members& head) {
    Json collection{{"type", "FeatureCollection"}};
    if (const auto b = bounds_of(features))
        collection["bbox"] = Json::array({b->west, b->south, b->east, b->north});
    collection["dangerline"] = to_json(Value::object(head));
    Json& list = collection["features"] = Json::array();
    for (const Feature& f : features)
        list.push_back(Json{{"type", "Feature"},
                            {"geometry", to_json(f.geometry)},
                            {"properties", to_json(Value::object(f.properties))}});
    // Chart text may hold bytes that are no UTF-8; they must not stop the output.
    return collection.dump(-1, ' ', false, Json::error_handler_t::replace) + "\n";
}

} // namespace dangerline::overlay
