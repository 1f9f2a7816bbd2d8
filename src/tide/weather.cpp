#include "dangerline/tide/weather.hpp"

#include <cmath>
#include <stdexcept>

#include <fmt/format.h>

namespace dangerline::tide {

double weather_shift_m(const Weather& weather) {
    if (weather.pressure_hpa.has_value() != weather.mean_pressure_hpa.has_value())
        throw std::invalid_argument("an air pressure needs the mean it is compared with");
    const double pressure_m =
        weather.pressure_hpa ? metres_per_hpa * (*weather.pressure_hpa - *weather.mean_pressure_hpa) : 0.0;
    return pressure_m + weather.surge_m;
}

std::string weather_words(const Weather& weather) {
    std::string words;
    if (weather.pressure_hpa && weather.mean_pressure_hpa) {
        const double above = *weather.pressure_hpa - *weather.mean_pressure_hpa;
        words = fmt::format("pressure {} hPa, {} {} the mean of {}: {:+.2f} m", *weather.pressure_hpa,
                            std::abs(above), above < 0.0 ? "below" : "above", *weather.mean_pressure_hpa,
                            metres_per_hpa * above);
    }
    if (weather.surge_m != 0.0)
        words += fmt::format("{}surge {:+.2f} m", words.empty() ? "" : "; ", weather.surge_m);
    return words;
}

Curve with_weather(const Curve& curve, const Weather& weather) {
    const std::string words = weather_words(weather);
    const double shift = weather_shift_m(weather);
    if (words.empty())
        return curve;
    const std::string note = curve.note().empty() ? words : curve.note() + "; " + words;
    if (curve.is_fixed()) {
        const auto height = curve.height(Instant::from_unix_seconds(0.0));
        return Curve::fixed(TideHeight::from_metres(height->metres() + shift), note);
    }
    std::vector<Piece> pieces = curve.pieces();
    for (Piece& piece : pieces)
        for (double& height : piece.height_m)
            height += shift;
    return Curve::from_pieces(std::move(pieces), curve.valid_from(), curve.valid_to(), note);
}

} // namespace dangerline::tide
