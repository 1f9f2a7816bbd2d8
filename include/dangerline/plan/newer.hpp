// Data newer than the charts, to be held against them.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/time.hpp"
#include "dangerline/chart/vector_source.hpp"
#include "dangerline/geo/position.hpp"
#include "dangerline/survey/compare.hpp"

namespace dangerline::plan {

/// One [[newer]]: a vector source with a class mapping, or another edition of cells.
struct NewerSource {
    std::filesystem::path file; ///< vector source, cell, folder, exchange set or archive
    std::string name;           ///< as outputs call it; by default the name of the file
    chart::VectorStatement stated{};
    std::vector<std::string> left_out; ///< layers or values of the class property that are of no interest
    std::optional<double>
        radius_m{}; ///< of solid structures drawn as points; nothing: hazard::assumed_radii()
    std::optional<double> position_m{}; ///< 95 % doubt of its places; nothing: by scale and quality
    std::vector<geo::Position> covers;  ///< ring of the waters it is whole of; empty: none given here
    std::filesystem::path covers_file;  ///< GeoJSON with that ring; empty: none
    std::optional<CalendarDay> dated{}; ///< when it was made; of cells their issue counts
    double moved_within_m = survey::moved_within_m;
    int line = 0; ///< in the plan file, for messages
};

} // namespace dangerline::plan
