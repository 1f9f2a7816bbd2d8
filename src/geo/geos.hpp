// GEOS's reentrant C interface with owners and errors. Private to the room.
#pragma once

#include <memory>
#include <span>
#include <string>
#include <vector>

#include <geos_c.h>

#include "dangerline/geo/regions.hpp"

namespace dangerline::geo {

/// One GEOS context; made per call, since a context must not be shared between threads.
class Geos {
  public:
    struct Destroy {
        GEOSContextHandle_t context;
        void operator()(GEOSGeometry* geometry) const { GEOSGeom_destroy_r(context, geometry); }
    };
    using Geometry = std::unique_ptr<GEOSGeometry, Destroy>;

    Geos();
    ~Geos();
    Geos(const Geos&) = delete;
    Geos& operator=(const Geos&) = delete;
    GEOSContextHandle_t handle() const { return context_; }

    /// Takes ownership; throws Failure with GEOS's own words where `raw` is null.
    Geometry own(GEOSGeometry* raw, const char* doing) const;
    /// As own(), but null where GEOS gave up.
    Geometry maybe(GEOSGeometry* raw) const { return Geometry(raw, Destroy{context_}); }

    Geometry collect(std::vector<Geometry> parts, int type) const;
    /// Closes rings that are open; a ring of fewer than three corners gives none.
    Geometry polygon(const PolygonRings& rings) const;
    Geometry line(std::span<const Point> points) const;
    /// Polygons as given, not checked: one polygon or a multipolygon.
    Geometry polygons(const std::vector<PolygonRings>& polygons) const;
    /// The same, made valid and united.
    Geometry valid_area(const std::vector<PolygonRings>& polygons) const;
    /// Even-odd where it is not valid.
    Geometry made_valid(Geometry area) const;
    Geometry united(const GEOSGeometry* geometry) const;
    bool valid(const GEOSGeometry* geometry) const { return GEOSisValid_r(context_, geometry) == 1; }
    double area(const GEOSGeometry* geometry) const;

    /// The polygons of a geometry, lines and points dropped; outer rings counter-clockwise, holes clockwise.
    std::vector<PolygonRings> rings(const GEOSGeometry* geometry) const;

  private:
    Ring ring(const GEOSGeometry* geometry, bool counter_clockwise) const;
    GEOSCoordSequence* sequence(std::span<const Point> points, bool close) const;
    GEOSContextHandle_t context_;
    std::string said_; ///< GEOS's last complaint
};

/// Positive for a counter-clockwise ring. Closed or open.
double signed_area(std::span<const Point> ring);

} // namespace dangerline::geo
