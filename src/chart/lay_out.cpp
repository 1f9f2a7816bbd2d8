// From longitude and latitude to the working plane, and the check that the skin of the earth has no holes.
#include "dangerline/chart/cell.hpp"

#include "chart/object_layer.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace dangerline::chart {

using geo::Position;

namespace {

/// Coverage is M_COVR with CATCOV 1, less what CATCOV 2 (or no category) takes out of it.
void lay_out_coverage(Cell& cell, const Projector& projector) {
    std::vector<geo::PolygonRings> covered, excluded;
    for (const auto& f : cell.features)
        if (f.cls == "M_COVR" && f.geometry.primitive == Primitive::area) {
            auto& side = f.attributes.code("CATCOV") == 1 ? covered : excluded;
            for (auto& polygon : projector.polygons(f.geometry))
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
    if (!cell.laid) {
        ObjectLayer layer({plane}, cell.file);
        layer.take(cell.features);
        cell.laid = layer.finish();
    }
    diagnostics.insert(diagnostics.end(), cell.laid->begin(), cell.laid->end());
    cell.laid.reset();
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
