#include "dangerline/geo/position.hpp"

#include <cmath>

#include <GeographicLib/Geodesic.hpp>
#include <GeographicLib/Rhumb.hpp>

#include "dangerline/base/error.hpp"

namespace dangerline::geo {

namespace {

// -0 and values that round to a full turn become 0, so that courses can be compared and printed.
double course_of(double azimuth_deg) {
    double course = std::fmod(azimuth_deg, 360.0);
    if (course < 0.0)
        course += 360.0;
    return course >= 360.0 || course == 0.0 ? 0.0 : course;
}

} // namespace

double normal_longitude(double lon_deg) {
    const double lon = std::remainder(lon_deg, 360.0);
    return lon >= 180.0 ? lon - 360.0 : lon;
}

double longitude_near(double lon_deg, double reference_deg) {
    // Whole turns only: a longitude that is near already comes back bit for bit.
    return lon_deg - 360.0 * std::round((lon_deg - reference_deg) / 360.0);
}

Course rhumb_between(Position from, Position to) {
    double metres = 0.0, azimuth = 0.0;
    GeographicLib::Rhumb::WGS84().Inverse(from.lat_deg, from.lon_deg, to.lat_deg, to.lon_deg, metres,
                                          azimuth);
    if (metres == 0.0)
        return {};
    const double course = course_of(azimuth);
    return {metres, course, course};
}

Position rhumb_destination(Position from, double course_deg, double metres) {
    double lat = 0.0, lon = 0.0;
    GeographicLib::Rhumb::WGS84().Direct(from.lat_deg, from.lon_deg, course_deg, metres, lat, lon);
    if (!std::isfinite(lat) || !std::isfinite(lon))
        throw Failure(Fault::data, {.what = "a rhumb line that runs over a pole has no end there",
                                    .expected = "a line that stays between the poles",
                                    .remedy = "shorten the line or draw it with more points"});
    return {longitude_near(lon, from.lon_deg), lat};
}

Course geodesic_between(Position from, Position to) {
    double metres = 0.0, start = 0.0, end = 0.0;
    GeographicLib::Geodesic::WGS84().Inverse(from.lat_deg, from.lon_deg, to.lat_deg, to.lon_deg, metres,
                                             start, end);
    if (metres == 0.0)
        return {};
    return {metres, course_of(start), course_of(end)};
}

Position geodesic_destination(Position from, double course_deg, double metres) {
    double lat = 0.0, lon = 0.0;
    GeographicLib::Geodesic::WGS84().Direct(from.lat_deg, from.lon_deg, course_deg, metres, lat, lon);
    return {longitude_near(lon, from.lon_deg), lat};
}

} // namespace dangerline::geo
