// From longitude and latitude to the working plane, and the check that the skin of the earth has no holes.
#include "dangerline/base/parallel.hpp"
#include "dangerline/chart/cell.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::chart {

namespace {

using geo::Point;
using geo::Position;

/// No edge shorter than this (degrees either way) bends by more than 0.1 m in the plane, up to 75 degrees of
/// latitude: 1.1 km squared times tan 75 degrees over 8 earth radii is 0.09 m.
constexpr double straight_edge_deg = 0.01;
constexpr double max_sagitta_m = 0.1;

/// Chart lines are rhumb lines; long ones are cut. Cut points are made from the lesser end, so that two areas
/// which share an edge get the same ones.
class Projector {
  public:
    explicit Projector(const geo::Plane& plane) : plane_(plane) {}

    std::vector<Point> chain(const std::vector<Position>& places) const {
        std::vector<Point> ends;
        ends.reserve(places.size());
        plane_.to_plane(places, ends);
        bool all_short = true;
        for (std::size_t i = 1; i < places.size() && all_short; ++i)
            all_short = is_short(places[i - 1], places[i]);
        if (all_short)
            return ends;
        std::vector<Point> out;
        out.reserve(2 * ends.size());
        for (std::size_t i = 0; i < places.size(); ++i) {
            if (i > 0 && !is_short(places[i - 1], places[i]))
                append_cut(places[i - 1], places[i], out);
            out.push_back(ends[i]);
        }
        return out;
    }

  private:
    static bool is_short(Position a, Position b) {
        return std::abs(a.lon_deg - b.lon_deg) <= straight_edge_deg &&
               std::abs(a.lat_deg - b.lat_deg) <= straight_edge_deg;
    }

    void append_cut(Position a, Position b, std::vector<Point>& out) const {
        const bool forward = a.lon_deg < b.lon_deg || (a.lon_deg == b.lon_deg && a.lat_deg < b.lat_deg);
        const std::array<Position, 2> pair{forward ? a : b, forward ? b : a};
        const auto cut = plane_.rhumb_chain(pair, max_sagitta_m);
        if (cut.size() < 3)
            return;
        if (forward)
            out.insert(out.end(), cut.begin() + 1, cut.end() - 1);
        else
            out.insert(out.end(), cut.rbegin() + 1, cut.rend() - 1);
    }

    const geo::Plane& plane_;
};

std::vector<geo::PolygonRings> project(const Geometry& g, const Projector& projector) {
    std::vector<geo::PolygonRings> polygons;
    for (const auto& rings : g.polygons) {
        auto& polygon = polygons.emplace_back();
        for (const auto& ring : rings)
            polygon.push_back(projector.chain(ring));
    }
    return polygons;
}

void lay_out_area(Feature& f, const Projector& projector, const std::string& file, Diagnostics& diagnostics) {
    auto polygons = project(f.geometry, projector);
    const geo::Mended check = geo::mend(polygons);
    if (check.valid && !f.broken_geometry) {
        f.shape = std::make_shared<const geo::Shape>(geo::to_shape(polygons));
        return;
    }
    f.broken_geometry = true;
    // As a hazard: whatever any reading of the rings covers, and the rings themselves.
    f.shape = std::make_shared<const geo::Shape>(geo::to_shape(check.valid ? polygons : check.mended));
    auto doubt = check.doubt;
    doubt.insert(doubt.end(), polygons.begin(), polygons.end());
    f.doubtful_shape = std::make_shared<const geo::Shape>(geo::to_shape(doubt));
    if (!check.valid)
        diagnostics.push_back({Severity::broken, file, f.cls + " " + to_text(f.id),
                               "area is not valid (" + check.why + "); mended, the difference is unknown"});
}

void lay_out_feature(Feature& f, const geo::Plane& plane, const Projector& projector, const std::string& file,
                     Diagnostics& diagnostics) {
    switch (f.geometry.primitive) {
    case Primitive::none:
        return;
    case Primitive::point: {
        std::vector<Point> points;
        plane.to_plane(f.geometry.points, points);
        f.shape = std::make_shared<const geo::Shape>(geo::Shape::of_points(std::move(points)));
        return;
    }
    case Primitive::line: {
        std::vector<std::vector<Point>> chains;
        for (const auto& line : f.geometry.lines)
            chains.push_back(projector.chain(line));
        f.shape = std::make_shared<const geo::Shape>(geo::Shape::of_lines(chains));
        return;
    }
    case Primitive::area:
        lay_out_area(f, projector, file, diagnostics);
        return;
    }
}

/// Coverage is M_COVR with CATCOV 1, less what CATCOV 2 (or no category) takes out of it.
void lay_out_coverage(Cell& cell, const Projector& projector) {
    std::vector<geo::PolygonRings> covered, excluded;
    for (const auto& f : cell.features)
        if (f.cls == "M_COVR" && f.geometry.primitive == Primitive::area) {
            auto& side = f.attributes.code("CATCOV") == 1 ? covered : excluded;
            for (auto& polygon : project(f.geometry, projector))
                side.push_back(std::move(polygon));
        }
    cell.coverage_stated = !covered.empty();
    if (!cell.withdrawn)
        cell.coverage = excluded.empty() ? covered : geo::without(covered, excluded);
}

void check_group_one(Cell& cell, Diagnostics& diagnostics) {
    std::vector<const geo::Shape*> tiles;
    for (const auto& f : cell.features)
        if (is_group_one(f.cls) && f.geometry.primitive == Primitive::area && f.shape && !f.shape->empty())
            tiles.push_back(f.shape.get());
    const geo::Tiling tiling = geo::check_tiling(cell.coverage, tiles);
    cell.gap_square_metres = tiling.gap_square_metres;
    cell.overlap_square_metres = tiling.overlap_square_metres;
    if (!tiling.gaps.empty())
        diagnostics.push_back(
            {Severity::broken, cell.file, "",
             fmt::format("the charted bottom has gaps of {:.0f} square metres in all inside the "
                         "coverage; they are unknown",
                         tiling.gap_square_metres)});
    if (!tiling.overlaps.empty())
        diagnostics.push_back(
            {Severity::broken, cell.file, "",
             fmt::format("depth and land areas overlap on {:.0f} square metres; these are unknown",
                         tiling.overlap_square_metres)});
    auto bad = tiling.gaps;
    bad.insert(bad.end(), tiling.overlaps.begin(), tiling.overlaps.end());
    cell.gaps = geo::to_shape(bad);
}

} // namespace

std::vector<int> sounding_datums(const Cell& cell) {
    std::vector<int> codes{cell.header.sdat};
    for (const auto& f : cell.features)
        if (const auto code = f.cls == "M_VDAT" ? std::nullopt : f.attributes.code("VERDAT");
            code && std::find(codes.begin(), codes.end(), *code) == codes.end())
            codes.push_back(*code);
    return codes;
}

bool is_group_one(std::string_view cls) {
    for (const auto* name : {"DEPARE", "DRGARE", "FLODOC", "HULKES", "LNDARE", "PONTON", "UNSARE"})
        if (cls == name)
            return true;
    return false;
}

void lay_out(Cell& cell, const geo::Plane& plane, Diagnostics& diagnostics) {
    const Projector projector(plane);
    // Validity of areas is most of the work; what is said keeps the order of the objects.
    std::vector<Diagnostics> said(cell.features.size());
    parallel_for(cell.features.size(), [&](std::size_t i) {
        lay_out_feature(cell.features[i], plane, projector, cell.file, said[i]);
    });
    for (auto& one : said)
        diagnostics.insert(diagnostics.end(), one.begin(), one.end());
    if (cell.notes) // notes vouch for nothing but what they show
        return;
    lay_out_coverage(cell, projector);
    if (cell.withdrawn || cell.newer) // newer data are held against a chart, they are none
        return;
    if (!cell.coverage_stated)
        diagnostics.push_back(
            {Severity::broken, cell.file, "M_COVR",
             "states no coverage (M_COVR with CATCOV 1); what lies between its objects is unknown"});
    else
        check_group_one(cell, diagnostics);
}

std::optional<Position> middle_of(const Cell& cell) {
    double west = 1e9, east = -1e9, south = 1e9, north = -1e9;
    std::optional<double> reference;
    const auto take = [&](const Position& p) {
        if (!reference)
            reference = p.lon_deg;
        const double lon = geo::longitude_near(p.lon_deg, *reference);
        west = std::min(west, lon);
        east = std::max(east, lon);
        south = std::min(south, p.lat_deg);
        north = std::max(north, p.lat_deg);
    };
    for (const auto& f : cell.features) {
        for (const auto& p : f.geometry.points)
            take(p);
        for (const auto& line : f.geometry.lines)
            for (const auto& p : line)
                take(p);
        for (const auto& rings : f.geometry.polygons)
            for (const auto& ring : rings)
                for (const auto& p : ring)
                    take(p);
    }
    if (!reference)
        return std::nullopt;
    return Position{geo::normal_longitude((west + east) / 2.0), (south + north) / 2.0};
}

} // namespace dangerline::chart
