// Ratios within one run, medians of seven: reading against the bare GDAL loop, the closed form against
// buffers.
#include "bench/bare_loop.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <functional>
#include <random>
#include <vector>

#include <geos_c.h>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/reach.hpp"
#include "dangerline/geo/regions.hpp"
#include "dangerline/hazard/build.hpp"

using namespace dangerline;

namespace {

constexpr int rounds = 7;
constexpr int legs_wanted = 30;
constexpr double radius_m = 50.0;

double median_seconds(const std::function<void()>& work) {
    std::vector<double> seconds;
    for (int i = 0; i < rounds; ++i) {
        const auto begin = std::chrono::steady_clock::now();
        work();
        seconds.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
    }
    std::sort(seconds.begin(), seconds.end());
    return seconds[rounds / 2];
}

struct Loaded {
    geo::Plane plane{{0.0, 0.0}};
    hazard::Hazards hazards;
};

Loaded load(const std::string& path) {
    Diagnostics said;
    std::vector<chart::Cell> cells;
    cells.push_back(chart::read_cell(chart::find_cells({path}).front(), said));
    Loaded out;
    out.plane = geo::Plane(*chart::middle_of(cells.front()));
    chart::lay_out(cells.front(), out.plane, said);
    out.hazards = hazard::build(cells, said);
    return out;
}

/// Legs of 2 to 6 km between places where soundings stand, so that they run over water.
std::vector<geo::Leg> legs_over(const hazard::Hazards& hazards) {
    std::vector<geo::Point> wet;
    for (const auto& h : hazards.all)
        if (h.object.cls == "SOUNDG")
            wet.push_back(h.steps.front().extent->points().front());
    std::mt19937 random(30);
    std::vector<geo::Leg> legs;
    for (int tries = 0; static_cast<int>(legs.size()) < legs_wanted && tries < 1'000'000; ++tries) {
        const geo::Leg leg{wet[random() % wet.size()], wet[random() % wet.size()]};
        if (leg.length() > 2000.0 && leg.length() < 6000.0)
            legs.push_back(leg);
    }
    return legs;
}

geo::Box box_of(const geo::Leg& leg) {
    return geo::Box{std::min(leg.from.x, leg.to.x), std::min(leg.from.y, leg.to.y),
                    std::max(leg.from.x, leg.to.x), std::max(leg.from.y, leg.to.y)}
        .grown(radius_m);
}

/// Every distinct extent of the steps of charted objects.
std::vector<const geo::Shape*> extents_of(const hazard::Hazards& hazards) {
    std::vector<const geo::Shape*> out;
    for (const auto& h : hazards.all)
        if (!h.object.lnam.empty())
            out.push_back(h.steps.front().extent.get());
    return out;
}

double closed_form_metres(const std::vector<geo::Leg>& legs, const std::vector<const geo::Shape*>& extents,
                          const geo::BoxIndex& index) {
    double metres = 0.0;
    for (const auto& leg : legs)
        for (const auto i : index.meeting(box_of(leg)))
            for (const auto& span : geo::reach(leg, *extents[i], radius_m))
                metres += span.to - span.from;
    return metres;
}

class Geos {
  public:
    Geos() : handle_(GEOS_init_r()) {}
    ~Geos() { GEOS_finish_r(handle_); }
    Geos(const Geos&) = delete;
    Geos& operator=(const Geos&) = delete;

    GEOSGeometry* geometry(const geo::Shape& shape) const {
        std::vector<GEOSGeometry*> parts;
        if (shape.kind() == geo::ShapeKind::area)
            for (const auto& rings : geo::polygons_of(shape)) {
                std::vector<GEOSGeometry*> holes;
                for (std::size_t i = 1; i < rings.size(); ++i)
                    holes.push_back(GEOSGeom_createLinearRing_r(handle_, sequence(rings[i])));
                parts.push_back(GEOSGeom_createPolygon_r(
                    handle_, GEOSGeom_createLinearRing_r(handle_, sequence(rings[0])), holes.data(),
                    static_cast<unsigned>(holes.size())));
            }
        else
            for (std::size_t i = 0; i < shape.part_count(); ++i) {
                const auto part = shape.part(i);
                parts.push_back(part.size() == 1 ? GEOSGeom_createPoint_r(handle_, sequence(part))
                                                 : GEOSGeom_createLineString_r(handle_, sequence(part)));
            }
        return GEOSGeom_createCollection_r(handle_, GEOS_GEOMETRYCOLLECTION, parts.data(),
                                           static_cast<unsigned>(parts.size()));
    }

    /// Buffers, tree, intersection: what the closed form replaces.
    double intersected_metres(const std::vector<geo::Leg>& legs,
                              const std::vector<GEOSGeometry*>& bases) const {
        std::vector<GEOSGeometry*> grown;
        GEOSSTRtree* tree = GEOSSTRtree_create_r(handle_, 10);
        for (const auto* base : bases) {
            grown.push_back(GEOSBuffer_r(handle_, base, radius_m, 16));
            GEOSSTRtree_insert_r(handle_, tree, grown.back(), grown.back());
        }
        double metres = 0.0;
        for (const auto& leg : legs) {
            const std::vector<geo::Point> ends{leg.from, leg.to};
            Query query{handle_, GEOSGeom_createLineString_r(handle_, sequence(ends)), &metres};
            GEOSSTRtree_query_r(handle_, tree, query.line, &Geos::hit, &query);
            GEOSGeom_destroy_r(handle_, query.line);
        }
        GEOSSTRtree_destroy_r(handle_, tree);
        for (auto* g : grown)
            GEOSGeom_destroy_r(handle_, g);
        return metres;
    }

    void destroy(GEOSGeometry* g) const { GEOSGeom_destroy_r(handle_, g); }

  private:
    struct Query {
        GEOSContextHandle_t handle;
        GEOSGeometry* line;
        double* metres;
    };

    static void hit(void* item, void* data) {
        auto* query = static_cast<Query*>(data);
        GEOSGeometry* shared =
            GEOSIntersection_r(query->handle, static_cast<GEOSGeometry*>(item), query->line);
        double length = 0.0;
        if (shared && GEOSLength_r(query->handle, shared, &length))
            *query->metres += length;
        if (shared)
            GEOSGeom_destroy_r(query->handle, shared);
    }

    GEOSCoordSequence* sequence(std::span<const geo::Point> points) const {
        GEOSCoordSequence* s = GEOSCoordSeq_create_r(handle_, static_cast<unsigned>(points.size()), 2);
        for (unsigned i = 0; i < points.size(); ++i)
            GEOSCoordSeq_setXY_r(handle_, s, i, points[i].x, points[i].y);
        return s;
    }

    GEOSContextHandle_t handle_;
};

void bench_reading(const std::string& cell) {
    const double bare = median_seconds([&] { bench::bare_loop(cell); });
    const double read = median_seconds([&] { load(cell); });
    std::printf("bare GDAL loop                 %8.1f ms\n", bare * 1e3);
    std::printf("read, laid out, hazards built  %8.1f ms   %.2f times the bare loop (at most 3.5)\n",
                read * 1e3, read / bare);
}

void bench_reach(const std::string& cell) {
    const Loaded loaded = load(cell);
    const auto legs = legs_over(loaded.hazards);
    const auto extents = extents_of(loaded.hazards);
    std::vector<geo::Box> boxes;
    for (const auto* extent : extents)
        boxes.push_back(extent->box());
    const geo::BoxIndex index(boxes);
    double exact = 0.0, buffered = 0.0;
    const double closed = median_seconds([&] { exact = closed_form_metres(legs, extents, index); });
    const Geos geos;
    std::vector<GEOSGeometry*> bases;
    for (const auto* extent : extents)
        bases.push_back(geos.geometry(*extent));
    // Once: it takes minutes, and its spread is nothing beside the ratio.
    const auto begin = std::chrono::steady_clock::now();
    buffered = geos.intersected_metres(legs, bases);
    const double slow = std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count();
    for (auto* base : bases)
        geos.destroy(base);
    std::printf("closed form, %zu legs x %zu     %8.2f ms   %.1f km in reach\n", legs.size(), extents.size(),
                closed * 1e3, exact / 1e3);
    std::printf("buffer + STRtree + intersection%8.1f ms   %.1f km in reach; %.0f times the closed form (at "
                "least 100)\n",
                slow * 1e3, buffered / 1e3, slow / closed);
}

} // namespace

int main(int argc, char** argv) {
    if (argc != 2) {
        std::fprintf(stderr, "usage: bench CELL\n");
        return 2;
    }
    bench_reading(argv[1]);
    bench_reach(argv[1]);
    return 0;
}
