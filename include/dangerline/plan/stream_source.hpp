// What a plan says of streams and of waits along its routes.
#pragma once

#include <filesystem>
#include <optional>
#include <string>

#include "dangerline/geo/position.hpp"

namespace dangerline::plan {

/// One [[stream]]: a panel of hours beside a tide, constants of a current, or a gridded forecast.
struct StreamSource {
    enum class Kind { table, harmonic, grid };
    Kind kind = Kind::table;
    std::string name;
    geo::Position position{}; ///< of a table or constants
    std::filesystem::path file;
    std::string of;                         ///< of a table: the name of its tide station
    bool from_low_water = false;            ///< its hours count from low water
    std::optional<double> spring_range_m{}; ///< mean ranges of that tide; nothing: from its constants
    std::optional<double> neap_range_m{};
    int line = 0; ///< in the plan file, for messages
};
const char* to_text(StreamSource::Kind kind);

/// A stop at a place of a route, by its number (from 1) or its name.
struct RouteWait {
    std::optional<std::size_t> number{};
    std::string name{};
    double seconds = 0.0;
    std::optional<std::string> until{}; ///< local clock time "11:30", the next after the wait so far
    int line = 0;
};

} // namespace dangerline::plan
