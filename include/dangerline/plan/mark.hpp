// A place where a boat lies to fish.
#pragma once

#include <optional>
#include <string>

#include "dangerline/geo/position.hpp"

namespace dangerline::plan {

/// One [[mark]].
struct MarkEntry {
    std::string name; ///< unlike all others
    geo::Position position{};
    std::optional<std::string> at; ///< local time it gets there; nothing: the plan's departure
    double stay_s = 6.0 * 3600.0;  ///< how long it lies there (assumption of this project)
    bool stay_given = false;
    int line = 0; ///< in the plan file, for messages
};

} // namespace dangerline::plan
