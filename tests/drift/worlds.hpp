// Small invented waters for the tests of drift.
#pragma once

#include <functional>
#include <memory>
#include <optional>

#include "dangerline/base/quantities.hpp"
#include "dangerline/drift/ensemble.hpp"

namespace dangerline::drift::worlds {

inline const Instant noon = start_of({2026, 6, 16}) + 12.0 * 3600.0;
inline const geo::Box twenty_km{-20'000.0, -20'000.0, 20'000.0, 20'000.0};
inline const geo::Plane& plane() {
    static const geo::Plane it({-27.9, 46.0});
    return it;
}

/// The stream is what a function of place (plane) and seconds since noon says, towards the plane's axes.
class Field : public sea::StreamField {
  public:
    using Law = std::function<std::optional<sea::Stream>(geo::Point, double)>;
    explicit Field(Law law) : law_(std::move(law)) {}
    sea::StreamThere at(geo::Point place, Instant when) const override {
        return {law_(place, when - noon), {}, "made", {}};
    }
    sea::PlaceStream fix(geo::Point place) const override {
        return [this, place](Instant when) { return law_(place, when - noon); };
    }

  private:
    Law law_;
};

inline StreamGrid grid_of(Field::Law law, double hours, double spacing_m = 500.0) {
    return {Field(std::move(law)),         plane(),  twenty_km, noon - 4.0 * 3600.0,
            noon + (hours + 4.0) * 3600.0, spacing_m};
}
inline StreamGrid steady(double set_deg, double mps) {
    return {sea::stream_of(set_deg, mps), plane(), twenty_km, noon - 86400.0, noon + 86400.0};
}
inline TideLine level(double metres) {
    return {[metres](Instant) { return metres; }, noon - 86400.0, noon + 86400.0};
}

struct Scene {
    hazard::Hazards hazards;
    DangerSettings settings;
    Scene() {
        settings.required = Water::from_metres(1.4);
        settings.touching = Water::from_metres(0.6);
        settings.half_length_m = 0.0;
        settings.below_reference = [](int) { return 0.0; };
        settings.box = twenty_km;
    }
    hazard::Hazard& add(hazard::Kind kind, geo::Shape shape, hazard::Step step = {},
                        double position_m = 0.0) {
        hazard::Hazard& h = hazards.all.emplace_back();
        h.kind = kind;
        h.what = "made";
        h.allowance.position_m = position_m;
        step.extent = std::make_shared<const geo::Shape>(std::move(shape));
        h.box = step.extent->box();
        h.steps.push_back(std::move(step));
        return h;
    }
    hazard::Hazard& rock(geo::Point place, double depth_m, double position_m = 50.0) {
        hazard::Step step;
        step.depth = Depth::from_metres(depth_m);
        return add(hazard::Kind::depth, geo::Shape::of_points({place}), step, position_m);
    }
    hazard::Hazard& ledge(std::vector<geo::Point> line, double depth_m, double position_m = 0.0) {
        hazard::Step step;
        step.depth = Depth::from_metres(depth_m);
        return add(hazard::Kind::depth, geo::Shape::of_lines({std::move(line)}), step, position_m);
    }
    Dangers dangers(double lowest_m = -2.0, double highest_m = 6.0) const {
        Dangers made(hazards, settings);
        made.prepare(lowest_m, highest_m);
        return made;
    }
};

} // namespace dangerline::drift::worlds
