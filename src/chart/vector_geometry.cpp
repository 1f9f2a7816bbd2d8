#include "chart/vector_geometry.hpp"

#include <cmath>
#include <limits>

namespace dangerline::chart {

namespace {

class Reader {
  public:
    Reader(const WayToWgs84& way, ReadParts& out) : way_(way), out_(out) {}

    void read(const OGRGeometry& g) {
        switch (wkbFlatten(g.getGeometryType())) {
        case wkbPoint:
            read_point(*g.toPoint());
            return;
        case wkbLineString:
            lines_.primitive = Primitive::line;
            lines_.lines.push_back(chain(*g.toLineString(), 2));
            return;
        case wkbPolygon:
            read_polygon(*g.toPolygon());
            return;
        case wkbMultiPoint:
        case wkbMultiLineString:
        case wkbMultiPolygon:
        case wkbGeometryCollection:
            if (g.IsEmpty())
                out_.good = false;
            for (const OGRGeometry* part : *g.toGeometryCollection())
                read(*part);
            return;
        default:
            out_.good = false;
        }
    }

    void finish() {
        for (Geometry* part : {&points_, &lines_, &areas_})
            if (part->primitive != Primitive::none)
                out_.parts.push_back(std::move(*part));
    }

  private:
    void read_point(const OGRPoint& p) {
        points_.primitive = Primitive::point;
        if (p.IsEmpty()) {
            out_.good = false;
            return;
        }
        points_.points.push_back(place(p.getX(), p.getY()));
        points_.depths_m.push_back(p.Is3D() ? p.getZ() : std::numeric_limits<double>::quiet_NaN());
    }

    void read_polygon(const OGRPolygon& polygon) {
        areas_.primitive = Primitive::area;
        auto& rings = areas_.polygons.emplace_back();
        if (polygon.IsEmpty())
            out_.good = false;
        for (const OGRLinearRing* ring : polygon) {
            rings.push_back(chain(*ring, 4));
            out_.good = out_.good && rings.back().size() >= 4 && rings.back().front() == rings.back().back();
        }
    }

    std::vector<geo::Position> chain(const OGRLineString& line, int least) {
        std::vector<geo::Position> places;
        places.reserve(static_cast<std::size_t>(line.getNumPoints()));
        for (int i = 0; i < line.getNumPoints(); ++i)
            places.push_back(place(line.getX(i), line.getY(i)));
        out_.good = out_.good && line.getNumPoints() >= least;
        return places;
    }

    geo::Position place(double x, double y) {
        if (way_.transformation && !way_.transformation->Transform(1, &x, &y)) {
            out_.not_transformed = true;
            out_.good = false;
        }
        const auto fits = [](double lon, double lat) {
            return std::abs(lon) <= 180.0 && std::abs(lat) <= 90.0;
        };
        if (!fits(x, y)) { // not a number fits nowhere either
            out_.out_of_range = true;
            out_.swap_would_fit = out_.swap_would_fit || fits(y, x);
            out_.good = false;
        }
        return {x, y};
    }

    const WayToWgs84& way_;
    ReadParts& out_;
    Geometry points_, lines_, areas_;
};

} // namespace

ReadParts read_parts(const OGRGeometry& geometry, const WayToWgs84& way) {
    ReadParts out;
    Reader reader(way, out);
    const bool curved = geometry.hasCurveGeometry();
    if (!curved && way.cut_every <= 0.0) {
        reader.read(geometry);
    } else {
        std::unique_ptr<OGRGeometry> plain(curved ? geometry.getLinearGeometry() : geometry.clone());
        if (way.cut_every > 0.0)
            plain->segmentize(way.cut_every);
        reader.read(*plain);
    }
    reader.finish();
    return out;
}

} // namespace dangerline::chart
