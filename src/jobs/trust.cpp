#include "jobs/trust.hpp"

#include <fmt/format.h>

#include "dangerline/base/error.hpp"
#include "dangerline/files/zone.hpp"
#include "dangerline/geo/regions.hpp"

namespace dangerline::jobs {

survey::TrustSettings trust_on(const plan::Plan& plan, const std::optional<CalendarDay>& as_of) {
    survey::TrustSettings trust = plan.trust;
    trust.as_of = as_of;
    return trust;
}

std::vector<survey::DrawnMoving> moving_in(const plan::Plan& plan, const geo::Plane& plane) {
    constexpr double sagitta_m = 0.1;
    std::vector<survey::DrawnMoving> out;
    for (const auto& entry : plan.moving) {
        auto places = entry.file.empty() ? entry.ring : files::read_zone(entry.file);
        for (std::size_t i = 1; i < places.size(); ++i)
            places[i].lon_deg = geo::longitude_near(places[i].lon_deg, places[i - 1].lon_deg);
        places.push_back(places.front());
        const geo::Ring ring = plane.rhumb_chain(places, sagitta_m);
        if (!geo::mend({{ring}}).valid)
            throw Failure(Fault::plan,
                          {.file = plan.file.string(),
                           .object = fmt::format("line {}, moving.area", entry.line),
                           .what = "the ring of \"" + entry.name + "\" crosses or touches itself",
                           .expected = "corners in order around the area"});
        out.push_back({entry.kind, entry.name,
                       std::make_shared<const geo::Shape>(geo::Shape::of_area({ring})), entry.metres_per_year,
                       entry.years, entry.surveyed});
    }
    return out;
}

} // namespace dangerline::jobs
