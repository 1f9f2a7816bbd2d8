// How far things lie from what a plan is about: its routes and marks. Private to the room.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/chart/lon_lat_box.hpp"
#include "dangerline/geo/plane.hpp"
#include "dangerline/geo/shape.hpp"
#include "dangerline/jobs/load.hpp"
#include "dangerline/passage/route.hpp"

namespace dangerline::jobs {

/// Where newer data of a plan are compared: 10 NM around its routes and marks. None, which stands for
/// everywhere, where it has no routes.
std::vector<chart::LonLatBox> compared_boxes(const plan::Plan& plan, const std::vector<PlannedRoute>& routes);

/// The charts of a plan as read_charts() reads them; with newer data all that come into compared_boxes(), for
/// what a chart of the plan shows must not seem to be on none.
std::vector<chart::Cell> read_charts_compared(const plan::Plan& plan, const std::vector<PlannedRoute>& routes,
                                              Diagnostics& diagnostics, const geo::Plane* plane = nullptr);

class Near {
  public:
    Near(const plan::Plan& plan, const std::vector<PlannedRoute>& routes, const geo::Plane& plane);
    /// The plan names neither a route nor a mark.
    bool empty() const { return tracks_.empty() && marks_.empty(); }

    struct Found {
        double metres = 0.0; ///< to the line of the route, or to the mark; 0 where it meets the shape
        std::string what{};  ///< the name of that route or mark
        geo::Point place{};  ///< nearest place of the shape
    };
    /// The nearest of them within `limit_m` of a shape; routes come before marks, earlier before later ones.
    std::optional<Found> nearest(const geo::Shape& shape, double limit_m) const;
    std::optional<Found> nearest(const std::vector<std::shared_ptr<const geo::Shape>>& shapes,
                                 double limit_m) const;

  private:
    std::vector<passage::Track> tracks_;
    struct Mark {
        std::string name;
        geo::Point place;
    };
    std::vector<Mark> marks_;
};

} // namespace dangerline::jobs
