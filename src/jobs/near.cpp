#include "jobs/near.hpp"

#include "dangerline/geo/reach.hpp"

namespace dangerline::jobs {

Near::Near(const plan::Plan& plan, const std::vector<PlannedRoute>& routes, const geo::Plane& plane) {
    for (const auto& planned : routes)
        tracks_.emplace_back(planned.route, plane);
    for (const auto& mark : plan.marks)
        marks_.push_back({mark.name, plane.to_plane(mark.position)});
}

std::optional<Near::Found> Near::nearest(const geo::Shape& shape, double limit_m) const {
    std::optional<Found> found;
    const auto look = [&](const geo::Leg& leg, const std::string& what) {
        const auto there = geo::nearest(leg, shape);
        if (there.metres <= limit_m && (!found || there.metres < found->metres))
            found = Found{there.metres, what, there.on_shape};
    };
    for (const auto& track : tracks_)
        for (const auto& chord : track.chords())
            if (chord.box().grown(found ? found->metres : limit_m).meets(shape.box()))
                look(chord.leg, track.route().name);
    for (const auto& mark : marks_)
        look({mark.place, mark.place}, mark.name);
    return found;
}

std::optional<Near::Found> Near::nearest(const std::vector<std::shared_ptr<const geo::Shape>>& shapes,
                                         double limit_m) const {
    std::optional<Found> found;
    for (const auto& shape : shapes)
        if (auto one = nearest(*shape, found ? found->metres : limit_m);
            one && (!found || one->metres < found->metres))
            found = std::move(one);
    return found;
}

} // namespace dangerline::jobs
