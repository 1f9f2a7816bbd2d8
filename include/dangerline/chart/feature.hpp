// One charted object as it stands in a cell: class, identity, attributes, geometry in longitude and latitude.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "dangerline/chart/prescan.hpp"
#include "dangerline/geo/position.hpp"
#include "dangerline/geo/shape.hpp"

namespace dangerline::chart {

/// Attributes by acronym. Depths and heights are in metres whatever the cell's units; a depth out of range is
/// dropped by the reader (and reported), never kept. S-57 tells "absent" from "present but empty"; both mean
/// that nobody knows, so both read as nothing here.
class Attributes {
  public:
    void set(std::string acronym, std::string text);
    void set_number(std::string acronym, double number);
    void remove(std::string_view acronym);

    /// Present with a value.
    bool has(std::string_view acronym) const;
    std::optional<double> number(std::string_view acronym) const;
    /// Enumerated attribute; unknown codes are kept as they are.
    std::optional<int> code(std::string_view acronym) const;
    /// List attribute in every spelling met: "4,17", "4", "(2:4,17)", "[\"4\",\"17\"]".
    std::vector<int> codes(std::string_view acronym) const;
    bool has_code(std::string_view acronym, int code) const;
    /// Empty where absent.
    std::string text(std::string_view acronym) const;

  private:
    std::vector<std::pair<std::string, std::string>> values_;
    const std::string* find(std::string_view acronym) const;
};

enum class Primitive : std::uint8_t { none, point, line, area };

/// Geometry in longitude and latitude, WGS 84. Rings are as read: they may be open, wound either way,
/// invalid.
struct Geometry {
    Primitive primitive = Primitive::none;
    std::vector<geo::Position> points;             ///< point objects and soundings
    std::vector<double> depths_m;                  ///< of soundings, one a point; NaN = unknown
    std::vector<std::vector<geo::Position>> lines; ///< line objects, may be several parts
    std::vector<std::vector<std::vector<geo::Position>>> polygons; ///< area objects: outer ring, then holes
};

struct Feature {
    std::string cls; ///< S-57 acronym of the class
    LongName id;
    Attributes attributes;
    Geometry geometry;
    std::optional<int> quapos;      ///< worst QUAPOS of its vector records; nothing where none has one
    std::optional<double> posacc_m; ///< largest POSACC of its vector records
    bool broken_geometry = false;   ///< no geometry where there should be one, or a ring that does not close
    std::string author;             ///< of a local note; empty in charts
    std::string date; ///< of a local note, as an S-57 date (see chart/dates.hpp); empty where not stated
    /// Of an object that only newer data have, or have so: in what the charts differ, and by which data.
    /// Empty in charts and notes.
    std::string uncharted;

    /// Set by lay_out(): the object in the working plane. For soundings all points of the group.
    std::shared_ptr<const geo::Shape> shape;
    /// Set by lay_out() where the polygons were not valid: what its readings disagree on.
    std::shared_ptr<const geo::Shape> doubtful_shape;
    /// Set by settle_scales(): this is the part of an object that lies where a better cell rules.
    bool under_better = false;
};

/// OBJNAM, or empty.
std::string name_of(const Feature& feature);

} // namespace dangerline::chart
