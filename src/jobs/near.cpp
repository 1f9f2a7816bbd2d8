#include "jobs/near.hpp"

#include "dangerline/chart/extent.hpp"
#include "dangerline/geo/reach.hpp"

#include <span>

namespace dangerline::jobs {

std::vector<chart::LonLatBox> compared_boxes(const plan::Plan& plan,
                                             const std::vector<PlannedRoute>& routes) {
    constexpr double compared_within_m = 10.0 * metres_per_nautical_mile;
    std::vector<chart::LonLatBox> boxes;
    const auto add = [&boxes](std::span<const geo::Position> places) {
        for (const auto& box : chart::boxes_along(places, compared_within_m))
            boxes.push_back(box);
    };
    for (const auto& planned : routes)
        add(planned.route.places);
    for (const auto& mark : plan.marks)
        if (!routes.empty())
            add(std::span(&mark.position, 1));
    return boxes;
}

std::vector<chart::Cell> read_charts_compared(const plan::Plan& plan, const std::vector<PlannedRoute>& routes,
                                              Diagnostics& diagnostics, const geo::Plane* plane) {
    return plan.newer.empty() ? read_charts(plan, routes, diagnostics, plane)
                              : read_charts_near(plan, compared_boxes(plan, routes), diagnostics, plane);
}

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
