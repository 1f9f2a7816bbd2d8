#include "dangerline/geo/plane.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <mutex>
#include <numbers>
#include <optional>
#include <string>

#include <GeographicLib/Rhumb.hpp>
#include <proj.h>

#include "dangerline/base/error.hpp"
#include "plane_fit.hpp"

namespace dangerline::geo {

namespace {

constexpr double radians = std::numbers::pi / 180.0;
// The polar semi-axis of WGS 84: the smaller of the two, so that bounds err to the large side.
constexpr double small_radius = 6'356'752.3;

// The shortest text that reads back as the same number, whatever the locale.
std::string exact_text(double value) {
    char text[40];
    const auto end = std::to_chars(text, text + sizeof text, value).ptr;
    return {text, end};
}

[[noreturn]] void refuse(Position place) {
    throw Failure(Fault::data,
                  {.object = "place " + exact_text(place.lon_deg) + ", " + exact_text(place.lat_deg),
                   .what = "can't be drawn in the working plane",
                   .expected = "longitude and latitude in degrees, latitude within -90 to 90",
                   .remedy = "see whether longitude and latitude are swapped"});
}

bool before(Position a, Position b) {
    return a.lat_deg != b.lat_deg ? a.lat_deg < b.lat_deg : a.lon_deg < b.lon_deg;
}

/// One projection of PROJ. It writes its error state into it at every call: for one thread at a time.
class Projection {
  public:
    explicit Projection(Position c) : context(proj_context_create()) {
        proj_log_level(context, PJ_LOG_NONE);
        // Longitudes are reckoned from the centre before PROJ sees them: no seam at 180 degrees.
        const std::string definition =
            "+proj=laea +lat_0=" + exact_text(c.lat_deg) + " +lon_0=0 +ellps=WGS84";
        projection = proj_create(context, definition.c_str());
        if (!projection) {
            proj_context_destroy(context);
            throw Failure(Fault::data, {.object = definition, .what = "PROJ refuses this projection"});
        }
    }
    ~Projection() {
        proj_destroy(projection);
        proj_context_destroy(context);
    }
    Projection(const Projection&) = delete;
    Projection& operator=(const Projection&) = delete;
    PJ_COORD trans(PJ_DIRECTION direction, PJ_COORD coordinate) const {
        return proj_trans(projection, direction, coordinate);
    }
    Point forward(double east_deg, double lat_deg) const {
        const PJ_COORD out = trans(PJ_FWD, proj_coord(east_deg * radians, lat_deg * radians, 0.0, 0.0));
        return {out.xy.x, out.xy.y};
    }

  private:
    PJ_CONTEXT* context;
    PJ* projection;
};

} // namespace

struct Plane::Implementation {
    Position centre;
    mutable std::mutex mutex;
    mutable std::vector<std::unique_ptr<const Projection>> idle; ///< as many as threads asked at once
    PlaneFit fit;

    explicit Implementation(Position c) : centre(drawable(c)), fit(fitted()) {}
    Implementation(const Implementation&) = delete;
    Implementation& operator=(const Implementation&) = delete;

    /// work(projection) with one that no other thread uses.
    template <typename Work>
    auto with_projection(Work work) const {
        struct Loan {
            const Implementation& from;
            std::unique_ptr<const Projection> projection;
            explicit Loan(const Implementation& lender) : from(lender) {
                const std::lock_guard lock(from.mutex);
                if (!from.idle.empty()) {
                    projection = std::move(from.idle.back());
                    from.idle.pop_back();
                }
            }
            ~Loan() {
                const std::lock_guard lock(from.mutex);
                from.idle.push_back(std::move(projection));
            }
            Loan(const Loan&) = delete;
            Loan& operator=(const Loan&) = delete;
        };
        Loan loan(*this);
        if (!loan.projection)
            loan.projection = std::make_unique<const Projection>(centre);
        return work(*loan.projection);
    }

    static Position drawable(Position c) {
        if (!std::isfinite(c.lon_deg) || !(std::abs(c.lat_deg) <= 90.0))
            refuse(c);
        return c;
    }
    PlaneFit fitted() const {
        return with_projection([&](const Projection& projection) {
            return PlaneFit(centre.lat_deg, [&](double east_deg, double north_deg) {
                return projection.forward(east_deg, centre.lat_deg + north_deg);
            });
        });
    }
    double east_of_centre(Position place) const {
        return longitude_near(place.lon_deg, centre.lon_deg) - centre.lon_deg;
    }
    /// The place alone decides who answers: it has one image, whoever asks for it and with whatever others.
    std::optional<Point> quick(Position place) const {
        const double east = east_of_centre(place), north = place.lat_deg - centre.lat_deg;
        return fit.covers(east, north) ? std::optional(fit.at(east, north)) : std::nullopt;
    }
    Point slow(const Projection& projection, Position place) const {
        const Point point = projection.forward(east_of_centre(place), place.lat_deg);
        if (!std::isfinite(point.x) || !std::isfinite(point.y) || !std::isfinite(place.lon_deg))
            refuse(place);
        return point;
    }
};

double Plane::scale_error(double radius_metres) {
    // Spherical part c^2 / 8 with c = radius / R; the ellipsoid adds a part that grows with c itself. Its
    // factor e^2 / 5.5 was found over latitudes 0 to 75 and holds with a reserve (see the tests).
    const double c = radius_metres / small_radius;
    return c * c / 8.0 + 0.00669438 / 5.5 * c + c * c * c * c / 50.0;
}

Plane::Plane(Position centre) : self_(std::make_unique<Implementation>(centre)) {}
Plane::~Plane() = default;
Plane::Plane(Plane&&) noexcept = default;
Plane& Plane::operator=(Plane&&) noexcept = default;

Position Plane::centre() const {
    return self_->centre;
}

Point Plane::to_plane(Position place) const {
    if (const auto point = self_->quick(place))
        return *point;
    return self_->with_projection(
        [&](const Projection& projection) { return self_->slow(projection, place); });
}

Position Plane::to_position(Point point) const {
    const PJ_COORD out = self_->with_projection([&](const Projection& projection) {
        return projection.trans(PJ_INV, proj_coord(point.x, point.y, 0.0, 0.0));
    });
    const Position place{self_->centre.lon_deg + out.lp.lam / radians, out.lp.phi / radians};
    if (!std::isfinite(place.lon_deg) || !std::isfinite(place.lat_deg))
        throw Failure(Fault::data, {.object = "point " + exact_text(point.x) + ", " + exact_text(point.y),
                                    .what = "lies outside the working plane"});
    return place;
}

void Plane::to_plane(std::span<const Position> places, std::vector<Point>& out) const {
    out.reserve(out.size() + places.size());
    std::size_t i = 0;
    for (; i < places.size(); ++i)
        if (const auto point = self_->quick(places[i]))
            out.push_back(*point);
        else
            break;
    if (i == places.size())
        return;
    self_->with_projection([&](const Projection& projection) {
        for (; i < places.size(); ++i) {
            const auto point = self_->quick(places[i]);
            out.push_back(point ? *point : self_->slow(projection, places[i]));
        }
    });
}

double Plane::sagitta(double metres, double lat_deg, double metres_from_centre) const {
    const double steep = std::tan(std::min(std::abs(lat_deg), 90.0) * radians);
    return metres * metres * (steep / small_radius + metres_from_centre / (small_radius * small_radius)) /
           8.0;
}

namespace {

// Places between two ends of a rhumb line. Always worked from the same end: two areas that share an edge and
// run it in opposite directions must get the same vertices bit for bit.
std::vector<Position> between(Position a, Position b, int pieces) {
    const bool turned = before(b, a);
    if (turned)
        std::swap(a, b);
    const Course course = rhumb_between(a, b);
    const auto line = GeographicLib::Rhumb::WGS84().Line(a.lat_deg, a.lon_deg, course.start_deg);
    std::vector<Position> inner;
    for (int i = 1; i < pieces; ++i) {
        double lat = 0.0, lon = 0.0;
        line.Position(course.metres * i / pieces, lat, lon);
        inner.push_back({longitude_near(lon, a.lon_deg), lat});
    }
    if (turned)
        std::reverse(inner.begin(), inner.end());
    return inner;
}

} // namespace

std::vector<Point> Plane::rhumb_chain(std::span<const Position> places, double max_sagitta) const {
    std::vector<Point> ends;
    to_plane(places, ends);
    std::vector<Point> chain;
    chain.reserve(ends.size());
    for (std::size_t i = 0; i < ends.size(); ++i) {
        if (i > 0) {
            const Position a = places[i - 1], b = places[i];
            const double lat = std::max(std::abs(a.lat_deg), std::abs(b.lat_deg));
            const double away =
                std::max(std::hypot(ends[i - 1].x, ends[i - 1].y), std::hypot(ends[i].x, ends[i].y));
            // Nearly all chart edges are short: a length that is a little too large settles them.
            double metres = 1.02 * std::hypot(ends[i].x - ends[i - 1].x, ends[i].y - ends[i - 1].y);
            if (metres > 5'000.0 || sagitta(metres, lat, away) > max_sagitta)
                metres = rhumb_between(a, b).metres;
            const double bend = sagitta(metres, lat, away);
            if (bend > max_sagitta) {
                // Near a pole the bound exceeds the length itself; a chord never departs by more than half.
                const double pieces =
                    std::ceil(std::min(std::sqrt(bend / max_sagitta), metres / max_sagitta / 2.0));
                to_plane(between(a, b, static_cast<int>(std::clamp(pieces, 1.0, 1e6))), chain);
            }
        }
        chain.push_back(ends[i]);
    }
    return chain;
}

} // namespace dangerline::geo
