// What a GeoJSON file is made of, as plain values: only one source file knows JSON.
#pragma once

#include <cstddef>
#include <string>
#include <variant>
#include <vector>

#include "dangerline/geo/position.hpp"

namespace dangerline::overlay {

struct Value;
struct Member;
using List = std::vector<Value>;
/// Keeps its order in the file.
using Members = std::vector<Member>;

struct Value {
    // No initialiser and no inline functions here: they would need Member to be complete.
    std::variant<std::nullptr_t, bool, long long, double, std::string, List, Members> held;

    static Value null();
    static Value flag(bool on);
    static Value whole(long long number);
    static Value count(std::size_t number);
    /// Rounded to so many decimals, never -0; null for what is no number or infinite.
    static Value number(double number, int decimals);
    static Value text(std::string words);
    static Value texts(const std::vector<std::string>& words);
    static Value list(List values);
    static Value object(Members members);
};

struct Member {
    std::string name;
    Value value;
};

using Line = std::vector<geo::Position>;
using Rings = std::vector<Line>; ///< outer ring first, then holes
using Lines = std::vector<Line>;
using Areas = std::vector<Rings>;

/// Ready to be written: cut at 180 degrees, rounded, closed and wound. One line is a LineString, several are
/// a MultiLineString; areas are always a MultiPolygon.
using Geometry = std::variant<geo::Position, Lines, Areas>;

struct Feature {
    Geometry geometry;
    Members properties;
};

/// The text of a FeatureCollection with its bbox and the foreign member "dangerline"; a feature a line.
std::string to_geojson(const std::vector<Feature>& features, const Members& head);

/// The same piece by piece, for what is not to stand in memory as a whole: a beginning, a feature a line, an
/// end with bbox and head. `bounds` may stand for the features: any whose bounds together are theirs.
std::string geojson_begin();
std::string geojson_line(const Feature& feature, bool first);
std::string geojson_end(const std::vector<Feature>& bounds, const Members& head);

/// The text of one JSON object, members on lines of their own.
std::string to_json(const Members& members);

} // namespace dangerline::overlay
