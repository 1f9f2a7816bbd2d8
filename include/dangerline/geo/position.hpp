// Places on the WGS 84 ellipsoid and the lines between them.
#pragma once

namespace dangerline::geo {

/// A place on WGS 84. Longitude first, degrees as files give them; the longitude may lie outside
/// [-180, 180) where a route or a ring runs on across the antimeridian.
struct Position {
    double lon_deg = 0.0;
    double lat_deg = 0.0;
    bool operator==(const Position&) const = default;
};

/// The same meridian in [-180, 180).
double normal_longitude(double lon_deg);
/// `lon_deg` shifted by whole turns so that it lies within 180 degrees of `reference_deg`.
double longitude_near(double lon_deg, double reference_deg);

/// Length and the courses at both ends, degrees true in [0, 360).
struct Course {
    double metres = 0.0;
    double start_deg = 0.0;
    double end_deg = 0.0;
};

/// Rhumb line the short way round; coincident places give length 0 and course 0.
/// Accuracy: 1 mm and 1e-9 degree (GeographicLib).
Course rhumb_between(Position from, Position to);
/// The longitude comes back within 180 degrees of the start's. A line over a pole throws Failure (data).
Position rhumb_destination(Position from, double course_deg, double metres);

/// Shortest line; coincident places give length 0 and course 0. Accuracy as above.
Course geodesic_between(Position from, Position to);
Position geodesic_destination(Position from, double course_deg, double metres);

} // namespace dangerline::geo
