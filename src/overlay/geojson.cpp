#include <charconv>
#include <cmath>

#include <fmt/format.h>
#include <nlohmann/json.hpp>

#include "overlay/features.hpp"
#include "overlay/geometry.hpp"

namespace dangerline::overlay {

namespace {

/// Writes JSON. The library's own writer gives some numbers of 7 decimals with 15 (46.087665200000004), which
/// is the same double but not what the rounding promised; so numbers are written here, and the library
/// escapes texts.
class Writer {
  public:
    std::string take() { return std::move(out_); }

    void raw(std::string_view text) { out_ += text; }

    void write(std::nullptr_t) { out_ += "null"; }
    void write(bool on) { out_ += on ? "true" : "false"; }
    void write(long long number) { out_ += std::to_string(number); }

    /// The shortest text that reads back as the same number; always looks like a real number.
    void write(double number) {
        char text[40];
        const char* end = std::to_chars(text, text + sizeof text, number).ptr;
        const std::string_view shortest(text, static_cast<std::size_t>(end - text));
        out_ += shortest;
        if (shortest.find_first_of(".e") == std::string_view::npos)
            out_ += ".0";
    }

    void write(const std::string& text) {
        // Chart text may hold bytes that are no UTF-8; they must not stop the output.
        out_ += nlohmann::json(text).dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
    }

    void write(const Value& value) {
        std::visit([this](const auto& held) { write(held); }, value.held);
    }

    void write(const Members& members) {
        bool first = true;
        out_ += '{';
        for (const Member& m : members) {
            out_ += first ? "" : ",";
            first = false;
            write(m.name);
            out_ += ':';
            write(m.value);
        }
        out_ += '}';
    }

    void write(const geo::Position& p) {
        out_ += '[';
        write(p.lon_deg);
        out_ += ',';
        write(p.lat_deg);
        out_ += ']';
    }

    template <typename Part>
    void write(const std::vector<Part>& parts, std::string_view between = ",") {
        bool first = true;
        out_ += '[';
        for (const Part& part : parts) {
            out_ += first ? "" : between;
            first = false;
            write(part);
        }
        out_ += ']';
    }

    void write(const Geometry& geometry) {
        if (const auto* place = std::get_if<geo::Position>(&geometry))
            write_as("Point", *place);
        else if (const auto* areas = std::get_if<Areas>(&geometry))
            write_as("MultiPolygon", *areas);
        else if (const auto& lines = std::get<Lines>(geometry); lines.size() == 1)
            write_as("LineString", lines.front());
        else
            write_as("MultiLineString", lines);
    }

    void write(const Feature& feature) {
        out_ += R"({"type":"Feature","geometry":)";
        write(feature.geometry);
        out_ += R"(,"properties":)";
        write(feature.properties);
        out_ += '}';
    }

  private:
    template <typename Coordinates>
    void write_as(const char* type, const Coordinates& coordinates) {
        out_ += fmt::format(R"({{"type":"{}","coordinates":)", type);
        write(coordinates);
        out_ += '}';
    }

    std::string out_;
};

} // namespace

Value Value::null() {
    return {nullptr};
}

Value Value::flag(bool on) {
    return {on};
}

Value Value::whole(long long number) {
    return {number};
}

Value Value::count(std::size_t number) {
    return {static_cast<long long>(number)};
}

Value Value::text(std::string words) {
    return {std::move(words)};
}

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
    Writer writer;
    writer.raw("{\"type\":\"FeatureCollection\",\n");
    if (const auto b = bounds_of(features)) {
        writer.raw("\"bbox\":");
        writer.write(std::vector{b->west, b->south, b->east, b->north});
        writer.raw(",\n");
    }
    writer.raw("\"dangerline\":");
    writer.write(head);
    writer.raw(",\n\"features\":");
    writer.write(features, ",\n"); // a line each, so that two outputs can be compared
    writer.raw("}\n");
    return writer.take();
}

std::string geojson_begin() {
    return "{\"type\":\"FeatureCollection\",\n\"features\":[";
}

std::string geojson_line(const Feature& feature, bool first) {
    Writer writer;
    writer.raw(first ? "" : ",\n");
    writer.write(feature);
    return writer.take();
}

std::string geojson_end(const std::vector<Feature>& bounds, const Members& head) {
    Writer writer;
    writer.raw("],\n");
    if (const auto b = bounds_of(bounds)) {
        writer.raw("\"bbox\":");
        writer.write(std::vector{b->west, b->south, b->east, b->north});
        writer.raw(",\n");
    }
    writer.raw("\"dangerline\":");
    writer.write(head);
    writer.raw("}\n");
    return writer.take();
}

std::string to_json(const Members& members) {
    Writer writer;
    const char* before = "{\n";
    for (const auto& member : members) {
        writer.raw(before);
        writer.write(member.name);
        writer.raw(":");
        writer.write(member.value);
        before = ",\n";
    }
    writer.raw("\n}\n");
    return writer.take();
}

} // namespace dangerline::overlay
