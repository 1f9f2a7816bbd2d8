#include <algorithm>
#include <cmath>

#include "dangerline/geo/regions.hpp"
#include "geos.hpp"
#include "simple_rings.hpp"

namespace dangerline::geo {

namespace {

// What can be told from the rings before GEOS sees them.
struct Sifted {
    std::vector<PolygonRings> polygons;
    std::vector<PolygonRings> unclosed; ///< closed by a straight line, each an area of its own
    std::string why;
};

void say(Sifted& sifted, const std::string& what) {
    if (!sifted.why.empty())
        sifted.why += "; ";
    sifted.why += what;
}

std::string at(Point p) {
    std::string text = "[";
    text += std::to_string(p.x);
    text += ' ';
    text += std::to_string(p.y);
    text += ']';
    return text;
}

std::size_t corners(const Ring& ring) {
    std::size_t count = 0;
    for (std::size_t i = 0; i < ring.size(); ++i)
        count += i == 0 || !(ring[i] == ring[i - 1]);
    return count - (ring.size() > 1 && ring.front() == ring.back() ? 1 : 0);
}

Sifted sift(const std::vector<PolygonRings>& polygons) {
    Sifted sifted;
    for (const PolygonRings& polygon : polygons) {
        PolygonRings kept;
        for (std::size_t i = 0; i < polygon.size(); ++i) {
            Ring ring = polygon[i];
            if (std::erase_if(ring, [](Point p) { return !std::isfinite(p.x) || !std::isfinite(p.y); }) > 0)
                say(sifted, "Corner that is not a number");
            if (ring.empty() || corners(ring) < 3) {
                say(sifted,
                    "Ring of fewer than three corners" + (ring.empty() ? std::string() : at(ring.front())));
                if (i == 0)
                    break; // without its outer ring a polygon's holes are holes in nothing
                continue;
            }
            if (std::hypot(ring.front().x - ring.back().x, ring.front().y - ring.back().y) > 1.0) {
                say(sifted, "Ring not closed" + at(ring.back()));
                ring.push_back(ring.front());
                sifted.unclosed.push_back({ring});
            }
            kept.push_back(std::move(ring));
        }
        if (!kept.empty())
            sifted.polygons.push_back(std::move(kept));
    }
    return sifted;
}

Geos::Geometry reading(const Geos& geos, const GEOSGeometry* area, GEOSMakeValidMethods method) {
    GEOSMakeValidParams* params = GEOSMakeValidParams_create_r(geos.handle());
    GEOSMakeValidParams_setMethod_r(geos.handle(), params, method);
    // Structure: parts that shrink to a line have no area and are no part of the reading.
    GEOSMakeValidParams_setKeepCollapsed_r(geos.handle(), params, 0);
    GEOSGeometry* made = GEOSMakeValidWithParams_r(geos.handle(), area, params);
    GEOSMakeValidParams_destroy_r(geos.handle(), params);
    return geos.valid_area(geos.rings(geos.own(made, "mending an area").get()));
}

} // namespace

Mended mend(const std::vector<PolygonRings>& polygons) {
    if (proven_valid(polygons))
        return {};
    const Geos geos;
    Sifted sifted = sift(polygons);
    Mended result;
    const auto given = geos.polygons(sifted.polygons);
    if (!geos.valid(given.get())) {
        char* reason = GEOSisValidReason_r(geos.handle(), given.get());
        say(sifted, reason ? reason : "Invalid");
        GEOSFree_r(geos.handle(), reason);
    }
    result.valid = sifted.why.empty();
    result.why = sifted.why;
    if (result.valid)
        return result;
    const auto lines = reading(geos, given.get(), GEOS_MAKE_VALID_LINEWORK);
    const auto structure = reading(geos, given.get(), GEOS_MAKE_VALID_STRUCTURE);
    const auto unclosed = geos.valid_area(sifted.unclosed);
    const auto either =
        geos.own(GEOSUnion_r(geos.handle(), lines.get(), structure.get()), "uniting two readings");
    const auto all =
        geos.own(GEOSUnion_r(geos.handle(), either.get(), unclosed.get()), "uniting two readings");
    const auto differ =
        geos.own(GEOSSymDifference_r(geos.handle(), lines.get(), structure.get()), "comparing two readings");
    const auto doubt = geos.own(GEOSUnion_r(geos.handle(), differ.get(), unclosed.get()), "uniting doubts");
    result.mended = geos.rings(all.get());
    result.doubt = geos.rings(doubt.get());
    return result;
}

} // namespace dangerline::geo
