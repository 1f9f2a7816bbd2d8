#include <algorithm>
#include <cmath>
#include <optional>

#include "dangerline/base/parallel.hpp"
#include "dangerline/geo/index.hpp"
#include "dangerline/geo/reach.hpp"
#include "dangerline/geo/regions.hpp"
#include "geos.hpp"
#include "outline.hpp"

namespace dangerline::geo {

namespace {

double perimeter(const PolygonRings& polygon) {
    double metres = 0.0;
    for (const Ring& ring : polygon)
        for (std::size_t i = 1; i < ring.size(); ++i)
            metres += std::hypot(ring[i].x - ring[i - 1].x, ring[i].y - ring[i - 1].y);
    return metres;
}

// See the header for why long thin places are left out.
bool counts(const PolygonRings& polygon, double least) {
    const double area = area_of({polygon});
    const double half = perimeter(polygon) / 2.0;
    return area > least && (half <= 20.0 || area >= half * 1.0);
}

std::vector<PolygonRings> counted(const Geos& geos, const GEOSGeometry* geometry, double least) {
    auto all = geos.rings(geometry);
    std::erase_if(all, [&](const PolygonRings& polygon) { return !counts(polygon, least); });
    return all;
}

class Check {
  public:
    Check(const std::vector<const Shape*>& tiles, double least) : least_(least) {
        for (const Shape* tile : tiles)
            if (tile->kind() == ShapeKind::area && !tile->empty()) {
                shapes_.push_back(tile);
                boxes_.push_back(tile->box());
            }
        tiles_.resize(shapes_.size());
        parallel_for(
            shapes_.size(), [&](std::size_t i) { tiles_[i] = polygons_of(*shapes_[i]); }, 0, 16);
        for (const auto& tile : tiles_)
            sum_ += area_of(tile);
    }

    Tiling run(const std::vector<PolygonRings>& cover) {
        Tiling result;
        if (proven(cover))
            return result;
        auto whole = quick();
        if (!whole.get()) {
            make_valid();
            whole = exact();
            if (valid_sum_ - geos_.area(whole.get()) > slack())
                result.overlaps = overlaps();
        }
        const auto ground = geos_.valid_area(cover);
        const auto left =
            geos_.own(GEOSDifference_r(geos_.handle(), ground.get(), whole.get()), "looking for gaps");
        result.gaps = counted(geos_, left.get(), least_);
        result.gap_square_metres = area_of(result.gaps);
        result.overlap_square_metres = area_of(result.overlaps);
        return result;
    }

  private:
    double slack() const { return std::min(0.01, least_ / 10.0); }

    // Clean by its edges alone: see unshared_edges(). Edges along the rim are cut elsewhere than the
    // cover's own, so they may lie off it by the width of slivers that do not count. The whole rim must be
    // such edges with the cover on their tile's side, or a part of the cover may have no tile and another
    // two.
    bool proven(const std::vector<PolygonRings>& cover) const {
        constexpr double share_of_area = 0.001;
        const double ground = area_of(cover);
        if (std::abs(sum_ - ground) > share_of_area * ground)
            return false;
        const auto alone = unshared_edges(tiles_);
        if (!alone)
            return false;
        std::vector<std::vector<Point>> rim, unshared;
        std::vector<Leg> rim_edges;
        for (const PolygonRings& polygon : cover)
            for (const Ring& ring : polygon) {
                rim.push_back(ring);
                for (std::size_t i = 1; i < ring.size(); ++i)
                    rim_edges.push_back({ring[i - 1], ring[i]});
            }
        for (const Leg& edge : *alone)
            unshared.push_back({edge.from, edge.to});
        const Shape inside = to_shape(cover);
        return lie_along(*alone, Shape::of_lines(rim)) && lie_along(rim_edges, Shape::of_lines(unshared)) &&
               std::all_of(alone->begin(), alone->end(),
                           [&](const Leg& edge) { return inside.contains(left_of(edge)); });
    }

    static bool lie_along(const std::vector<Leg>& edges, const Shape& lines) {
        constexpr double sliver_m = 1.0;
        return std::all_of(edges.begin(), edges.end(), [&](const Leg& edge) {
            const auto along = reach(edge, lines, sliver_m);
            return along.size() == 1 && along.front() == Span{0.0, edge.length()};
        });
    }

    /// A point beside the middle of an edge, farther off than the rim may be.
    static Point left_of(const Leg& edge) {
        constexpr double beside_m = 3.0;
        const double length = edge.length();
        const Point middle = edge.at(length / 2.0);
        return {middle.x - beside_m * (edge.to.y - edge.from.y) / length,
                middle.y + beside_m * (edge.to.x - edge.from.x) / length};
    }

    // The outline trusts that neighbours share their vertices and does not say where they do not; it is
    // believed only if it makes a valid area and no area got lost.
    Geos::Geometry quick() const {
        std::vector<Geos::Geometry> lines;
        for (const auto& chain : outline(shapes_))
            lines.push_back(geos_.line(chain));
        const auto all = geos_.collect(std::move(lines), GEOS_MULTILINESTRING);
        auto whole = geos_.maybe(GEOSBuildArea_r(geos_.handle(), all.get()));
        if (whole && !(std::abs(sum_ - geos_.area(whole.get())) <= slack() && geos_.valid(whole.get())))
            whole.reset();
        return whole;
    }

    void make_valid() {
        for (const auto& tile : tiles_) {
            valid_.push_back(geos_.valid_area(tile));
            valid_sum_ += geos_.area(valid_.back().get());
        }
    }

    Geos::Geometry copy(const Geos::Geometry& geometry) const {
        return geos_.own(GEOSGeom_clone_r(geos_.handle(), geometry.get()), "copying a tile");
    }

    Geos::Geometry exact() const {
        std::vector<Geos::Geometry> parts;
        for (const auto& tile : valid_)
            parts.push_back(copy(tile));
        return geos_.united(geos_.collect(std::move(parts), GEOS_GEOMETRYCOLLECTION).get());
    }

    std::vector<PolygonRings> overlaps() const {
        const BoxIndex index(boxes_);
        std::vector<Geos::Geometry> doubled;
        for (std::uint32_t a = 0; a < valid_.size(); ++a)
            for (const std::uint32_t b : index.meeting(boxes_[a])) {
                if (b <= a || GEOSIntersects_r(geos_.handle(), valid_[a].get(), valid_[b].get()) == 0)
                    continue;
                auto both = geos_.own(GEOSIntersection_r(geos_.handle(), valid_[a].get(), valid_[b].get()),
                                      "looking for overlaps");
                // Neighbours meet in lines; only areas are overlaps.
                for (const auto& polygon : geos_.rings(both.get()))
                    doubled.push_back(geos_.polygon(polygon));
            }
        const auto all = geos_.collect(std::move(doubled), GEOS_GEOMETRYCOLLECTION);
        return counted(geos_, geos_.united(all.get()).get(), least_);
    }

    Geos geos_;
    double least_;
    std::vector<const Shape*> shapes_;
    std::vector<Box> boxes_;
    std::vector<std::vector<PolygonRings>> tiles_;
    double sum_ = 0.0;
    std::vector<Geos::Geometry> valid_;
    double valid_sum_ = 0.0;
};

} // namespace

Tiling check_tiling(const std::vector<PolygonRings>& cover, const std::vector<const Shape*>& tiles,
                    double least_square_metres) {
    return Check(tiles, least_square_metres).run(cover);
}

} // namespace dangerline::geo
