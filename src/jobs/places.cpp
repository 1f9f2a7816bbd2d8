#include "jobs/places.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/newer.hpp"
#include "jobs/scene.hpp"
#include "jobs/trust.hpp"

#include <algorithm>
#include <stdexcept>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

constexpr double beyond_m = 3.0 * metres_per_nautical_mile; // charts so near are worth reading

Instant arrival_at(const plan::MarkEntry& mark, const plan::Plan& plan) {
    const auto& text = mark.at ? mark.at : plan.depart;
    const std::string object = fmt::format("line {}, mark \"{}\"", mark.line, mark.name);
    if (!text)
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = object,
                                    .what = "no time for this mark",
                                    .remedy = "add at = \"2026-06-12 09:30\" to the mark, or depart to the "
                                              "head of the plan"});
    try {
        return plan.zone.parse(*text);
    } catch (const std::invalid_argument& wrong) {
        throw Failure(Fault::plan, {.file = plan.file.string(), .object = object, .what = wrong.what()});
    }
}

std::vector<chart::LonLatBox> boxes_around(const std::vector<AskedPlace>& places, double metres) {
    std::vector<chart::LonLatBox> boxes;
    for (const auto& place : places)
        for (const auto& box : chart::boxes_along(std::span(&place.position, 1), metres))
            boxes.push_back(box);
    return boxes;
}

geo::Box bounds_of(const std::vector<geo::Box>& boxes) {
    geo::Box all = boxes.front();
    for (const auto& box : boxes)
        all = {std::min(all.min_x, box.min_x), std::min(all.min_y, box.min_y), std::max(all.max_x, box.max_x),
               std::max(all.max_y, box.max_y)};
    return all;
}

} // namespace

std::vector<AskedPlace> needed_marks(const plan::Plan& plan) {
    if (plan.marks.empty())
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = "mark",
                                    .what = "the plan names no mark",
                                    .remedy = "add a [[mark]] table with name and position"});
    std::vector<AskedPlace> places;
    for (const auto& mark : plan.marks) {
        const Instant at = arrival_at(mark, plan);
        places.push_back({mark.name, mark.position, at, at + mark.stay_s});
    }
    return places;
}

double wave_height_m(const plan::Plan& plan) {
    constexpr double allowance_per_height = 1.0;
    return std::max(plan.margins.wave_allowance_m / allowance_per_height, plan.sea.swell_m.value_or(0.0));
}

Water touching_water(const plan::Plan& plan) {
    return Water::from_metres(plan.boat.draught_m + wave_height_m(plan) / 2.0);
}

geo::Box square_around(geo::Point place, double half_m) {
    return geo::Box{place.x, place.y, place.x, place.y}.grown(half_m);
}

std::vector<geo::Box> squares_around(const std::vector<geo::Point>& points, double half_m) {
    std::vector<geo::Box> squares;
    for (const auto& point : points)
        squares.push_back(square_around(point, half_m));
    return squares;
}

geo::Plane plane_around(const std::vector<AskedPlace>& places, const plan::Plan& plan) {
    std::vector<NamedPlace> named;
    for (const auto& place : places)
        named.push_back({"mark \"" + place.name + "\"", place.position});
    return plane_around(named, "marks", plan);
}

Places::Places(const plan::Plan& plan, const geo::Plane& plane, std::vector<AskedPlace> places,
               const CalendarDay& as_of, const Settings& settings, Diagnostics& diagnostics)
    : plan_(plan), asked_(std::move(places)), first_(asked_.front().from), last_(asked_.front().to) {
    std::vector<geo::Position> positions;
    for (const auto& place : asked_) {
        first_ = std::min(first_, place.from);
        last_ = std::max(last_, place.to);
        positions.push_back(place.position);
    }
    last_ = last_ + settings.longer_s;
    plane.to_plane(positions, points_);
    cells_ = read_charts_near(plan, boxes_around(asked_, settings.around_m + beyond_m), diagnostics);
    lay_out(cells_, plane, diagnostics);
    join_newer(plan, plane, {}, as_of, cells_, diagnostics);
    tides_.emplace(plan, first_, last_);
    const auto boxes = squares_around(points_, settings.around_m);
    hazard::BuildSettings build{{}, as_of, bounds_of(boxes), trust_on(plan, as_of), moving_in(plan, plane)};
    if (const auto levels = tides_->levels(cells_)) {
        const auto window = [&](Water water) {
            return bottom_window(boxes, water.metres(), levels->lowest_m, levels->highest_m,
                                 tides_->widest_doubts(positions));
        };
        build.bottom = window(passage::required_water(plan.boat, plan.margins));
        build.bottom->from = std::min(build.bottom->from, window(touching_water(plan)).from);
    }
    hazards_ = hazard::build(cells_, diagnostics, build);
    try {
        station_map_.emplace(plane, tides_->stations(), land_of(hazards_),
                             tide::StationDoubt{plan.doubts.tide_height_m, plan.doubts.tide_time_s});
        for (const auto& point : points_)
            tides_->count(choices_.emplace_back(station_map_->at(point)));
        streams_ = read_streams(plan, plane, cells_, land_of(hazards_),
                                first_ - std::max(3600.0, settings.longer_s), last_);
    } catch (const Failure& failure) {
        rethrow_with_plan(failure, plan);
    }
}

void Places::require_chart() const {
    const auto covered = [this](geo::Point p) {
        return std::any_of(cells_.begin(), cells_.end(),
                           [p](const chart::Cell& cell) { return geo::to_shape(cell.coverage).contains(p); });
    };
    if (std::any_of(points_.begin(), points_.end(), covered))
        return;
    std::string names;
    for (const auto& cell : cells_)
        names += (names.empty() ? "" : ", ") + cell.name;
    throw Failure(Fault::data,
                  {.file = plan_.file.string(),
                   .object = "mark \"" + asked_.front().name + "\"",
                   .what = (asked_.size() > 1 ? "neither it nor any other mark lies on the charts ("
                                              : "it does not lie on the charts (") +
                           names + ")",
                   .expected = "longitude first, then latitude, on the charts of the plan",
                   .remedy = "name the chart of this water in the plan"});
}

std::optional<int> Places::chart_code() const {
    return cells_.empty() ? std::nullopt : std::optional(cells_.front().header.sdat);
}

TideNotes Places::tide_notes() const {
    TideNotes out;
    for (std::size_t i = 0; i < asked_.size(); ++i)
        if (const auto why = distrust(i); !why.empty()) {
            const std::string warning = "the tide can't be relied on: " + why;
            if (std::find(out.warnings.begin(), out.warnings.end(), warning) == out.warnings.end())
                out.warnings.push_back(warning);
        }
    TideNotes levels = tides_->notes(chart_code());
    out.lines = std::move(levels.lines);
    out.warnings.insert(out.warnings.end(), levels.warnings.begin(), levels.warnings.end());
    if (plan_.as_of && days_between(*plan_.as_of, day_of(first_)) > 0)
        out.warnings.push_back(fmt::format("ages are reckoned at {}, before the first mark on {}",
                                           to_text(*plan_.as_of), to_text(day_of(first_))));
    for (std::size_t i = 0; i < asked_.size(); ++i) {
        const auto names = tides_->names(choices_[i].stations);
        out.lines.push_back(fmt::format("{}: {}{}, doubt {}", asked_[i].name,
                                        names.empty() ? "" : names + ", ", tide::to_text(choices_[i].how),
                                        doubt_words(choices_[i].doubt)));
    }
    if (const auto idle = tides_->idle(); !idle.empty())
        out.lines.push_back("of no account at these places: " + idle);
    return out;
}

} // namespace dangerline::jobs
