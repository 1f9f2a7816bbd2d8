// Wind against time at one place, at the height that leeway is reckoned with.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/time.hpp"
#include "dangerline/files/grid.hpp"
#include "dangerline/geo/position.hpp"

namespace dangerline::sea {

/// Height over the sea that leeway figures refer to.
inline constexpr double wind_reference_m = 10.0;

/// Wind of `mps` measured `height_m` over the sea, as it is at 10 m: U10 = Uz (10 / z)^(1/7), for near
/// neutral air. Source: US Army Corps of Engineers, Coastal Engineering Manual II-2-9, given for about 8 to
/// 12 m; at 2 to 30 m it stays within 6 % of a logarithmic profile with a roughness of 0.2 mm (see the
/// tests), and below the errors of any wind at sea. `height_m` over 0.
double at_ten_metres(double mps, double height_m);

/// Where the air moves to, metres a second at 10 m, towards true east and north.
struct WindThere {
    double east_mps = 0.0;
    double north_mps = 0.0;
    double speed_mps() const;
};
/// `from_deg`: true, where the wind comes from.
WindThere wind_from(double from_deg, double mps);

/// Longest time between two rows of a series (assumption of this project): beyond it the wind is not known.
inline constexpr double longest_wind_gap_s = 3.0 * 3600.0 + 1.0;

/// Immutable; queries may run on many threads.
class Wind {
  public:
    /// The same always.
    static Wind steady(double from_deg, double mps, std::string words);
    /// A forecast at one place (10 m winds). Not known outside its times, its grid and at missing nodes.
    static Wind forecast(const files::VectorGrid& grid, geo::Position place);
    /// Rows in order of time; linear in both components between rows up to longest_wind_gap_s apart.
    struct Row {
        Instant at = Instant::from_unix_seconds(0.0);
        WindThere wind{};
    };
    static Wind series(std::vector<Row> rows, std::string words);

    /// Nothing where it is not known; the last value is never held.
    std::optional<WindThere> at(Instant t) const;
    /// The largest speed in [from, to], metres a second, exact: between rows no speed is over those of its
    /// two rows. Nothing where the wind is not known at some time of it.
    std::optional<double> strongest_mps(Instant from, Instant to) const;
    const std::string& words() const { return words_; }
    bool is_steady() const { return steady_.has_value(); }

  private:
    std::optional<WindThere> steady_{};
    std::vector<Row> rows_{};
    std::string words_{};
};

/// Reads columns time, from_deg (0 to 360, where it comes from) and one of speed_mps, speed_kn and speed_kmh.
/// Clock times of `zone`, or UTC with Z alone. `height_m`: of the instrument or forecast over the sea.
/// Failures (Fault::data, naming line and column): none or several columns of speed (a wind without its unit
/// is refused), values out of range, times that can't be read or are out of order, no row.
Wind read_wind(const std::filesystem::path& path, const std::optional<TimeZone>& zone, double height_m);

} // namespace dangerline::sea
