// What air pressure and surge do to the predicted level.
#pragma once

#include <optional>
#include <string>

#include "dangerline/tide/curve.hpp"

namespace dangerline::tide {

/// Metres of sea level per hectopascal above the mean: high pressure lowers the sea by 1 cm per hPa (National
/// Oceanography Centre; Bureau of Meteorology: 10 hPa = 0.1 m). The static value is 0.9945 cm.
inline constexpr double metres_per_hpa = -0.01;

struct Weather {
    /// Air pressure at sea level and the mean that the tide tables of the place go with, hPa; both or none.
    /// The mean is never guessed: 1016 on the south coast of England, 1011 in the north of Scotland.
    std::optional<double> pressure_hpa{}, mean_pressure_hpa{};
    double surge_m = 0.0; ///< above the predicted level; negative below
};

/// Metres to add to predicted heights, both ways. Not for a source whose heights hold the weather already.
/// Throws std::invalid_argument where only one of the pressures is given.
double weather_shift_m(const Weather& weather);

/// "pressure 1033 hPa, 20 above the mean of 1013: -0.20 m; surge +0.50 m"; empty where nothing is given.
std::string weather_words(const Weather& weather);

/// The curve with weather_shift_m() added everywhere and the words appended to its note; unknown stays
/// unknown.
Curve with_weather(const Curve& curve, const Weather& weather);

} // namespace dangerline::tide
