// What a plan says of a boat whose engine has died.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/quantities.hpp"
#include "dangerline/drift/ensemble.hpp"
#include "dangerline/drift/leeway.hpp"
#include "dangerline/geo/position.hpp"

namespace dangerline::plan {

/// A stream stated by the user in place of all data: where it sets to.
struct StatedStream {
    double set_deg = 0.0;
    double mps = 0.0;
    std::string words; ///< "stream setting NE 1.5 kn"
};

/// One [[second]]: another means of moving, or of drifting slower.
struct SecondMeans {
    enum class Kind { engine, oars, drogue };
    Kind kind = Kind::engine;
    double mps = 0.0;          ///< through the water; of a drogue 0
    double seconds = 0.0;      ///< so long; of a drogue without end
    double leeway_share = 0.0; ///< of a drogue: what is left of the boat's leeway, 0 to 1
    int line = 0;
};
const char* to_text(SecondMeans::Kind kind);

/// One [[helper]]: who could come.
struct HelperEntry {
    std::string name;
    geo::Position position{};
    double mps = 0.0;
    double alarm_s = 600.0;  ///< until they know (assumption of this project)
    double muster_s = 900.0; ///< until they are under way (assumption of this project)
    int line = 0;
};

/// The table [drift].
struct DriftAsked {
    std::string boat;                 ///< name of a drift::LeewayRow; empty: the two defaults
    std::optional<drift::Leeway> own; ///< the user's own figures in place of a row
    double lasts_s = 6.0 * 3600.0;    ///< looked at so long
    std::uint32_t particles = 1000;   ///< boats a run
    std::uint64_t seed = 1;
    double within_m = 8.0 * metres_per_nautical_mile; ///< looked at so far around
    std::filesystem::path wind_series, wind_forecast;
    double wind_height_m = 10.0; ///< of the series
    std::optional<StatedStream> stream;
    drift::Errors errors;
    std::vector<double> table_mps; ///< winds of the table for a mark
};

} // namespace dangerline::plan
