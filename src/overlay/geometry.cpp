#include "overlay/geometry.hpp"

#include <algorithm>
#include <cmath>

#include "dangerline/geo/reach.hpp"

namespace dangerline::overlay {

namespace {

using geo::Position;

constexpr double last_decimal = 1e-7;

double rounded(double degrees) {
    // Adding zero turns -0 into 0.
    return std::round(degrees / last_decimal) / 1e7 + 0.0;
}

Position rounded(Position p) {
    return {rounded(p.lon_deg), rounded(p.lat_deg)};
}

Position shifted(Position p, double turn) {
    return {p.lon_deg - 360.0 * turn, p.lat_deg};
}

/// Rounded, each longitude within half a turn of the one before, the first of `reference_deg`.
Line run_on(const Line& line, double reference_deg) {
    Line out;
    for (const Position& p : line) {
        const double near = out.empty() ? reference_deg : out.back().lon_deg;
        out.push_back(rounded({geo::longitude_near(p.lon_deg, near), p.lat_deg}));
    }
    return out;
}

void append(Line& line, Position p) {
    p = rounded(p);
    if (line.empty() || line.back() != p)
        line.push_back(p);
}

/// Positive for counter-clockwise, in square degrees.
double signed_area(const Line& ring) {
    double twice = 0.0;
    const Position o = ring.front();
    for (std::size_t i = 0; i + 1 < ring.size(); ++i)
        twice += (ring[i].lon_deg - o.lon_deg) * (ring[i + 1].lat_deg - o.lat_deg) -
                 (ring[i + 1].lon_deg - o.lon_deg) * (ring[i].lat_deg - o.lat_deg);
    return twice / 2.0;
}

struct Extent {
    double west, south, east, north;
};

Extent extent_of(const Line& line) {
    Extent e{line.front().lon_deg, line.front().lat_deg, line.front().lon_deg, line.front().lat_deg};
    for (const Position& p : line)
        e = {std::min(e.west, p.lon_deg), std::min(e.south, p.lat_deg), std::max(e.east, p.lon_deg),
             std::max(e.north, p.lat_deg)};
    return e;
}

Line box(const Extent& e) {
    return {{e.west, e.south}, {e.east, e.south}, {e.east, e.north}, {e.west, e.north}, {e.west, e.south}};
}

/// Rounded, closed and wound; empty where nothing is left of it.
Line finished_ring(const Line& ring, bool outer) {
    Line out;
    for (const Position& p : ring)
        append(out, p);
    if (!out.empty() && out.front() != out.back())
        out.push_back(out.front());
    const double area = out.size() < 4 ? 0.0 : signed_area(out);
    if (std::abs(area) < last_decimal * last_decimal)
        return {};
    if ((area > 0.0) != outer)
        std::reverse(out.begin(), out.end());
    return out;
}

/// The box around a ring that rounds to nothing, one step of the last decimal to each side.
Line least_box(const Line& ring) {
    Extent e = extent_of(ring);
    e.west = rounded(std::max(e.west - last_decimal, -180.0));
    e.south = rounded(std::max(e.south - last_decimal, -90.0));
    e.east = rounded(std::min(e.east + last_decimal, 180.0));
    e.north = rounded(std::min(e.north + last_decimal, 90.0));
    return box(e);
}

Rings finished(const Rings& rings, double turn) {
    Rings out;
    for (std::size_t i = 0; i < rings.size(); ++i) {
        Line ring;
        for (const Position& p : rings[i])
            ring.push_back(shifted(p, turn));
        Line done = finished_ring(ring, i == 0);
        if (done.empty() && i > 0)
            continue;
        out.push_back(done.empty() ? least_box(ring) : std::move(done));
    }
    return out;
}

/// Longitude and latitude taken as coordinates of a plane, as RFC 7946 takes them.
geo::PolygonRings as_plane(const Rings& rings) {
    geo::PolygonRings out;
    for (const Line& ring : rings) {
        auto& points = out.emplace_back();
        for (const Position& p : ring)
            points.push_back({p.lon_deg, p.lat_deg});
    }
    return out;
}

/// What of an area lies in one turn of longitude.
Areas within_turn(const Rings& rings, const Extent& whole, double turn) {
    const double west = 360.0 * turn - 180.0, east = 360.0 * turn + 180.0;
    std::vector<geo::PolygonRings> outside;
    if (whole.west < west)
        outside.push_back(as_plane({box({whole.west - 1.0, -91.0, west, 91.0})}));
    if (whole.east > east)
        outside.push_back(as_plane({box({east, -91.0, whole.east + 1.0, 91.0})}));
    Areas out;
    for (const auto& polygon : geo::without({as_plane(rings)}, outside)) {
        auto& area = out.emplace_back();
        for (const auto& ring : polygon) {
            auto& line = area.emplace_back();
            for (const geo::Point& p : ring)
                line.push_back({p.x, p.y});
        }
    }
    return out;
}

void cut_area(const Rings& rings, Areas& out) {
    if (rings.empty() || rings.front().empty())
        return;
    Rings whole{run_on(rings.front(), geo::normal_longitude(rings.front().front().lon_deg))};
    const Extent extent = extent_of(whole.front());
    for (std::size_t i = 1; i < rings.size(); ++i)
        if (!rings[i].empty())
            whole.push_back(run_on(rings[i], (extent.west + extent.east) / 2.0));
    const double first = std::floor((extent.west + 180.0) / 360.0);
    const double last = std::max(first, std::ceil((extent.east - 180.0) / 360.0));
    for (double turn = first; turn <= last; ++turn) {
        const Areas parts = first == last ? Areas{whole} : within_turn(whole, extent, turn);
        for (const Rings& part : parts)
            out.push_back(finished(part, turn));
    }
}

/// Where the straight line from a to b passes 180 degrees, ascending along it, ends left out.
std::vector<Position> crossings(Position a, Position b) {
    std::vector<Position> out;
    const double west = std::min(a.lon_deg, b.lon_deg), east = std::max(a.lon_deg, b.lon_deg);
    for (double lon = 360.0 * std::floor((west + 180.0) / 360.0) + 180.0; lon < east; lon += 360.0)
        if (lon > west)
            out.push_back(
                {lon, a.lat_deg + (b.lat_deg - a.lat_deg) * (lon - a.lon_deg) / (b.lon_deg - a.lon_deg)});
    if (a.lon_deg > b.lon_deg)
        std::reverse(out.begin(), out.end());
    return out;
}

} // namespace

geo::Position rounded_place(geo::Position place) {
    return rounded({geo::normal_longitude(place.lon_deg), place.lat_deg});
}

Lines cut_line(const Line& line) {
    if (line.empty())
        return {};
    const Line whole = run_on(line, geo::normal_longitude(line.front().lon_deg));
    Lines out;
    std::optional<double> turn;
    const auto add = [&](Position a, Position b) {
        const double middle = (a.lon_deg + b.lon_deg) / 2.0;
        const double of_this = std::floor((middle + 180.0) / 360.0);
        // Along 180 degrees itself either side will do: stay.
        const bool along = a.lon_deg == b.lon_deg && std::remainder(a.lon_deg - 180.0, 360.0) == 0.0;
        if (!turn || (!along && of_this != *turn)) {
            turn = of_this;
            out.emplace_back();
        }
        append(out.back(), shifted(a, *turn));
        append(out.back(), shifted(b, *turn));
    };
    for (std::size_t i = 0; i + 1 < whole.size(); ++i) {
        Position from = whole[i];
        for (const Position& cut : crossings(from, whole[i + 1])) {
            add(from, cut);
            from = cut;
        }
        if (from != whole[i + 1])
            add(from, whole[i + 1]);
    }
    if (out.empty())
        add(whole.front(), whole.front());
    for (Line& part : out)
        if (part.size() == 1)
            part.push_back(part.front());
    return out;
}

Areas cut_areas(const Areas& areas) {
    Areas out;
    for (const Rings& rings : areas)
        cut_area(rings, out);
    return out;
}

Areas unproject(const geo::Plane& plane, const std::vector<geo::PolygonRings>& areas) {
    // Two bends add up: of the plane against a rhumb line, and of a rhumb line against longitude and
    // latitude.
    constexpr double bend_m = 0.005;
    const auto line_of = [&plane](const geo::Ring& ring) {
        Line line;
        for (std::size_t i = 0; i < ring.size(); ++i) {
            const Position place = plane.to_position(ring[i]);
            if (i > 0) {
                const geo::Leg edge{ring[i - 1], ring[i]};
                const double away =
                    std::max(std::hypot(edge.from.x, edge.from.y), std::hypot(edge.to.x, edge.to.y));
                const double lat = std::max(std::abs(place.lat_deg), std::abs(line.back().lat_deg));
                const double pieces = std::ceil(std::sqrt(plane.sagitta(edge.length(), lat, away) / bend_m));
                for (double k = 1.0; k < pieces; ++k)
                    line.push_back(plane.to_position(edge.at(edge.length() * k / pieces)));
            }
            line.push_back(place);
        }
        return line;
    };
    Areas out;
    for (const auto& rings : areas) {
        auto& area = out.emplace_back();
        for (const auto& ring : rings)
            area.push_back(line_of(ring));
    }
    return out;
}

namespace {

void widen(Bounds& bounds, std::vector<geo::Span>& spans, const Line& line) {
    const Extent e = extent_of(line);
    spans.push_back({e.west, e.east});
    bounds.south = std::min(bounds.south, e.south);
    bounds.north = std::max(bounds.north, e.north);
}

} // namespace

std::vector<Geometry> geometries_of(const geo::Shape& shape, const geo::Plane& plane) {
    std::vector<Geometry> out;
    if (shape.kind() == geo::ShapeKind::area) {
        const auto polygons = geo::polygons_of(shape);
        if (!polygons.empty())
            return {cut_areas(unproject(plane, polygons))};
    }
    for (std::size_t i = 0; i < shape.part_count(); ++i) {
        const auto part = shape.part(i);
        Line line;
        for (const auto& p : part)
            line.push_back(plane.to_position(p));
        if (shape.kind() == geo::ShapeKind::points || line.size() == 1)
            for (const auto& place : line)
                out.emplace_back(rounded_place(place));
        else
            out.emplace_back(cut_line(line));
    }
    return out;
}

std::optional<Bounds> bounds_of(const std::vector<Feature>& features) {
    Bounds bounds{0.0, 90.0, 0.0, -90.0};
    std::vector<geo::Span> spans;
    for (const Feature& f : features) {
        if (const auto* place = std::get_if<geo::Position>(&f.geometry))
            widen(bounds, spans, {*place});
        else if (const auto* lines = std::get_if<Lines>(&f.geometry))
            for (const Line& line : *lines)
                widen(bounds, spans, line);
        else
            for (const Rings& rings : std::get<Areas>(f.geometry))
                widen(bounds, spans, rings.front());
    }
    if (spans.empty())
        return std::nullopt;
    geo::join(spans);
    // The box is what the widest gap leaves; where gaps are equal it does not cross.
    bounds.west = spans.front().from;
    bounds.east = spans.back().to;
    double widest = bounds.west + 360.0 - bounds.east;
    for (std::size_t i = 0; i + 1 < spans.size(); ++i)
        if (const double gap = spans[i + 1].from - spans[i].to; gap > widest) {
            widest = gap;
            bounds.west = spans[i + 1].from;
            bounds.east = spans[i].to;
        }
    return bounds;
}

} // namespace dangerline::overlay
