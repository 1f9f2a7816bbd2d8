#include "dangerline/sea/sun.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numbers>

#include <boost/math/tools/roots.hpp>

namespace dangerline::sea {

namespace {

constexpr double degree = std::numbers::pi / 180.0;
constexpr double j2000_unix_s = 946'728'000.0; // 2000-01-01 12:00 UTC
constexpr double day_s = 86400.0;
constexpr double look_every_s = 3600.0;

/// TT - UT, seconds (Espenak and Meeus, NASA TP-2006-214141, 2005 to 2050).
double delta_t(double years_since_2000) {
    return 62.92 + years_since_2000 * (0.32217 + years_since_2000 * 0.005589);
}

/// Altitude at one place against time.
class Altitude {
  public:
    explicit Altitude(const geo::Position& place)
        : sin_lat_(std::sin(place.lat_deg * degree)), cos_lat_(std::cos(place.lat_deg * degree)),
          lon_deg_(place.lon_deg) {}

    double at(double unix_s) const {
        const double ut_days = (unix_s - j2000_unix_s) / day_s;
        const double t = (ut_days + delta_t(ut_days / 365.25) / day_s) / 36525.0;
        // Meeus (25.2) to (25.4): mean longitude, mean anomaly, equation of the centre.
        const double mean_longitude = 280.46646 + t * (36000.76983 + t * 0.0003032);
        const double anomaly = (357.52911 + t * (35999.05029 - t * 0.0001537)) * degree;
        const double centre = (1.914602 - t * (0.004817 + t * 0.000014)) * std::sin(anomaly) +
                              (0.019993 - t * 0.000101) * std::sin(2.0 * anomaly) +
                              0.000289 * std::sin(3.0 * anomaly);
        const double node = (125.04 - 1934.136 * t) * degree;
        const double longitude = (mean_longitude + centre - 0.00569 - 0.00478 * std::sin(node)) * degree;
        const double mean_obliquity = 23.439291 - t * (0.0130042 + t * (1.64e-7 - t * 5.04e-7));
        const double obliquity = (mean_obliquity + 0.00256 * std::cos(node)) * degree;
        const double sin_longitude = std::sin(longitude);
        const double right_ascension = std::atan2(std::cos(obliquity) * sin_longitude, std::cos(longitude));
        const double sin_dec = std::sin(obliquity) * sin_longitude;
        const double cos_dec = std::sqrt(1.0 - sin_dec * sin_dec);
        // Meeus (12.4), with nutation of 17.2" in longitude.
        const double sidereal_deg =
            280.46061837 + 360.98564736629 * ut_days - 0.00478 * std::sin(node) * std::cos(obliquity);
        const double hour_angle = std::remainder(sidereal_deg + lon_deg_, 360.0) * degree - right_ascension;
        return std::asin(
            std::clamp(sin_lat_ * sin_dec + cos_lat_ * cos_dec * std::cos(hour_angle), -1.0, 1.0));
    }

  private:
    double sin_lat_, cos_lat_, lon_deg_;
};

/// Where the altitude turns between a and b, to a tenth of a second; `sign` 1: highest, -1: lowest.
double turning(const Altitude& altitude, double a, double b, double sign) {
    constexpr double golden = 0.6180339887498949;
    while (b - a > 0.1) {
        const double c = b - golden * (b - a), d = a + golden * (b - a);
        if (sign * altitude.at(c) > sign * altitude.at(d))
            b = d;
        else
            a = c;
    }
    return 0.5 * (a + b);
}

/// The altitude at an instant.
struct Look {
    double t, altitude;
};

/// Crossing of `limit` between a and b, of which one is above and one not.
double crossing(const Altitude& altitude, double limit, const Look& a, const Look& b) {
    std::uintmax_t most = 60;
    const auto [before, after] = boost::math::tools::toms748_solve(
        [&](double t) { return altitude.at(t) - limit; }, a.t, b.t, a.altitude - limit, b.altitude - limit,
        [](double x, double y) { return std::abs(x - y) <= 0.01; }, most);
    return 0.5 * (before + after);
}

/// Instants between which the altitude only rises or only falls, as far as it matters for `limit`: hours, and
/// the turns that come near it. From `begin` to `end`, both among them.
std::vector<Look> looks_at(const Altitude& altitude, double limit, double begin, double end) {
    // Half an hour off its turn the Sun is less than this from where it turns.
    constexpr double near_turn = 8.0 * degree;
    std::vector<Look> out;
    out.reserve(static_cast<std::size_t>((end - begin) / look_every_s) + 2);
    std::vector<double> turns;
    double before = altitude.at(begin - look_every_s), here = altitude.at(begin);
    for (double t = begin; t < end + look_every_s; t += look_every_s) {
        const double after = altitude.at(t + look_every_s);
        const bool high = here >= before && here > after, low = here <= before && here < after;
        if (t < end)
            out.push_back({t, here});
        if ((high || low) && std::abs(here - limit) < near_turn)
            turns.push_back(turning(altitude, t - look_every_s, t + look_every_s, high ? 1.0 : -1.0));
        before = here;
        here = after;
    }
    out.push_back({end, altitude.at(end)});
    for (const double t : turns)
        if (t >= begin && t <= end)
            out.push_back({t, altitude.at(t)});
    if (!turns.empty())
        std::sort(out.begin(), out.end(), [](const Look& a, const Look& b) { return a.t < b.t; });
    return out;
}

} // namespace

double sun_altitude_rad(const geo::Position& place, Instant t) {
    return Altitude(place).at(t.unix_seconds());
}

std::vector<SunCrossing> sun_crossings(const geo::Position& place, double altitude_deg, Instant from,
                                       Instant to) {
    std::vector<SunCrossing> out;
    if (!(from <= to))
        return out;
    const Altitude altitude(place);
    const double limit = altitude_deg * degree;
    const auto looks = looks_at(altitude, limit, from.unix_seconds(), to.unix_seconds());
    for (std::size_t i = 1; i < looks.size(); ++i) {
        const Look &before = looks[i - 1], &here = looks[i];
        const bool rising = here.altitude > limit;
        if (rising != (before.altitude > limit))
            out.push_back({Instant::from_unix_seconds(crossing(altitude, limit, before, here)), rising});
    }
    return out;
}

TimeSet sun_above(const geo::Position& place, double altitude_deg, Instant from, Instant to) {
    std::vector<Interval> up;
    bool above = sun_altitude_rad(place, from) > altitude_deg * degree;
    Instant since = from;
    for (const auto& c : sun_crossings(place, altitude_deg, from, to)) {
        if (c.rising)
            since = c.at;
        else if (above)
            up.push_back({since, c.at});
        above = c.rising;
    }
    if (above)
        up.push_back({since, to});
    return TimeSet::of_any(std::move(up));
}

SunDay sun_day(const geo::Position& place, double altitude_deg, Instant from, Instant to) {
    using Kind = SunDay::Kind;
    SunDay day;
    for (const auto& c : sun_crossings(place, altitude_deg, from, to)) {
        auto& first = c.rising ? day.rise : day.set;
        if (!first)
            first = c.at;
    }
    const bool above = sun_altitude_rad(place, from) > altitude_deg * degree;
    day.kind = day.rise && day.set ? Kind::rises_and_sets
               : day.rise          ? Kind::rises_only
               : day.set           ? Kind::sets_only
               : above             ? Kind::up
                                   : Kind::down;
    return day;
}

} // namespace dangerline::sea
