#include "dangerline/passage/route.hpp"

#include "dangerline/passage/boat.hpp"

#include <algorithm>
#include <array>
#include <cmath>

namespace dangerline::passage {

Water required_water(const Boat& boat, const Margins& margins) {
    return Water::from_metres(boat.draught_m + boat.squat_m + margins.under_keel_m +
                              margins.wave_allowance_m);
}

namespace {

constexpr double chord_sagitta_m = 0.1;
constexpr double drawn_sagitta_m = 1.0;

/// Pieces a rhumb line of that length is cut into, so that a straight line in longitude and latitude departs
/// from it by at most drawn_sagitta_m. In degrees such a line differs from the rhumb line by less than
/// L^2 tan|lat| / 8R, as the chord in the plane does.
int drawn_pieces(double metres, double lat_deg) {
    constexpr double radius_m = 6.37e6;
    const double bend = std::tan(std::min(std::abs(lat_deg), 89.0) * M_PI / 180.0) / (8.0 * radius_m);
    const double longest = std::sqrt(drawn_sagitta_m / std::max(bend, 1e-12));
    return std::max(1, static_cast<int>(std::ceil(metres / longest)));
}

} // namespace

geo::Box Chord::box() const {
    return {std::min(leg.from.x, leg.to.x), std::min(leg.from.y, leg.to.y), std::max(leg.from.x, leg.to.x),
            std::max(leg.from.y, leg.to.y)};
}

Track::Track(const Route& route, const geo::Plane& plane) : route_(route), leg_ends_{0.0} {
    const geo::Point centre = plane.to_plane(plane.centre());
    for (std::size_t i = 0; i + 1 < route_.places.size(); ++i) {
        const std::array<geo::Position, 2> ends{route_.places[i], route_.places[i + 1]};
        const double metres = geo::rhumb_between(ends[0], ends[1]).metres;
        const auto points = plane.rhumb_chain(ends, chord_sagitta_m);
        const auto pieces = static_cast<double>(points.size() - 1);
        for (std::size_t k = 0; k + 1 < points.size(); ++k) {
            Chord chord;
            chord.leg = {points[k], points[k + 1]};
            chord.from = leg_ends_.back() + metres * static_cast<double>(k) / pieces;
            chord.to = leg_ends_.back() + metres * static_cast<double>(k + 1) / pieces;
            chord.leg_number = i;
            const double away = std::hypot(points[k].x - centre.x, points[k].y - centre.y) + metres / pieces;
            const double lat = std::max(std::abs(ends[0].lat_deg), std::abs(ends[1].lat_deg));
            chord.half_width_m = route_.half_widths_m[i] +
                                 std::min(plane.sagitta(metres / pieces, lat, away), chord_sagitta_m);
            chords_.push_back(chord);
        }
        leg_ends_.push_back(leg_ends_.back() + metres);
    }
}

std::size_t Track::leg_at(double s) const {
    const auto it = std::upper_bound(leg_ends_.begin() + 1, leg_ends_.end() - 1, s);
    return static_cast<std::size_t>(it - leg_ends_.begin()) - 1;
}

geo::Point Track::point_at(double s) const {
    const auto it =
        std::find_if(chords_.begin(), chords_.end() - 1, [s](const Chord& c) { return s <= c.to; });
    const double length = it->to - it->from;
    const double share = length > 0.0 ? std::clamp((s - it->from) / length, 0.0, 1.0) : 0.0;
    return it->leg.at(share * it->leg.length());
}

geo::Position Track::position_at(double s) const {
    const std::size_t leg = leg_at(s);
    const auto course = geo::rhumb_between(route_.places[leg], route_.places[leg + 1]);
    const auto place = geo::rhumb_destination(route_.places[leg], course.start_deg,
                                              std::clamp(s - leg_ends_[leg], 0.0, course.metres));
    return {geo::longitude_near(place.lon_deg, route_.places[leg].lon_deg), place.lat_deg};
}

std::vector<geo::Position> Track::line(double s1, double s2) const {
    std::vector<geo::Position> out{position_at(s1)};
    for (std::size_t leg = leg_at(s1); leg < route_.places.size() - 1 && leg_ends_[leg] < s2; ++leg) {
        const double from = std::max(s1, leg_ends_[leg]);
        const double to = std::min(s2, leg_ends_[leg + 1]);
        const double lat =
            std::max(std::abs(route_.places[leg].lat_deg), std::abs(route_.places[leg + 1].lat_deg));
        const int pieces = drawn_pieces(to - from, lat);
        for (int k = 1; k <= pieces; ++k) {
            const double s = from + (to - from) * k / pieces;
            out.push_back(k == pieces && to == leg_ends_[leg + 1] ? route_.places[leg + 1] : position_at(s));
        }
    }
    return out;
}

geo::Span Track::to_path(const Chord& chord, geo::Span along) {
    const double length = chord.leg.length();
    const double scale = length > 0.0 ? (chord.to - chord.from) / length : 0.0;
    return {chord.from + along.from * scale, std::min(chord.from + along.to * scale, chord.to)};
}

} // namespace dangerline::passage
