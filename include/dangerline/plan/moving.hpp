// A bottom that moves, as a plan draws it.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/geo/position.hpp"
#include "dangerline/survey/dates.hpp"
#include "dangerline/survey/rules.hpp"

namespace dangerline::plan {

/// One [[moving]].
struct MovingEntry {
    std::string name;
    survey::Moving kind = survey::Moving::bank; ///< bank, bar, channel or river_mouth
    std::vector<geo::Position> ring;            ///< open; empty: in the file
    std::filesystem::path file;                 ///< GeoJSON with that ring; empty: none
    std::optional<double> metres_per_year;
    std::optional<double> years; ///< a survey is believed
    std::optional<survey::PartialDate> surveyed;
    int line = 0; ///< in the plan file, for messages
};

} // namespace dangerline::plan
