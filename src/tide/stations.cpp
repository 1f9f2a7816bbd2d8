#include "dangerline/tide/stations.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"
#include "dangerline/geo/reach.hpp"

namespace dangerline::tide {

namespace {

constexpr double sample_m = 250.0;
constexpr double boundary_m = 1.0;
/// A line that only touches a shore does not cross it.
constexpr double touch_m = 1e-3;

double distance(geo::Point a, geo::Point b) {
    return std::hypot(a.x - b.x, a.y - b.y);
}

[[noreturn]] void refuse(const Station& station, const std::string& what, const std::string& expected) {
    throw Failure(Fault::plan,
                  {.object = "tide station \"" + station.name + "\"", .what = what, .expected = expected});
}

} // namespace

StationDoubt station_doubt(bool secondary, std::optional<double> distance_m, const StationDoubt& base) {
    StationDoubt doubt = base;
    if (secondary)
        doubt.time_s = std::max(doubt.time_s, secondary_time_doubt_s);
    if (distance_m && *distance_m > far_station_m) {
        doubt.height_m = std::max(doubt.height_m, far_height_doubt_m);
        doubt.time_s = std::max(doubt.time_s, far_time_doubt_s);
    }
    return doubt;
}

const char* to_text(Chosen how) {
    switch (how) {
    case Chosen::only:
        return "the only station";
    case Chosen::zone:
        return "its zone";
    case Chosen::by_water:
        return "nearest by water";
    case Chosen::across_land:
        break;
    }
    return "land lies between every station and it";
}

bool Choice::same_as(const Choice& other) const {
    return stations == other.stations && how == other.how && doubt == other.doubt;
}

Land without_islets(Land land) {
    std::erase_if(land, [](const auto& shape) {
        const geo::Box& box = shape->box();
        return box.max_x - box.min_x < islet_m && box.max_y - box.min_y < islet_m;
    });
    return land;
}

bool joined_by_water(const Land& land, geo::Point place, geo::Point station) {
    const geo::Leg leg{place, station};
    const double length = leg.length();
    const geo::Box box{std::min(place.x, station.x), std::min(place.y, station.y),
                       std::max(place.x, station.x), std::max(place.y, station.y)};
    std::vector<geo::Span> ashore;
    for (const auto& shape : land)
        if (shape->box().meets(box)) {
            const auto spans = geo::reach(leg, *shape, 0.0);
            ashore.insert(ashore.end(), spans.begin(), spans.end());
        }
    geo::join(ashore, touch_m);
    return std::none_of(ashore.begin(), ashore.end(), [&](const geo::Span& s) {
        const bool at_end = (s.from <= touch_m && s.to <= ashore_m) ||
                            (s.to >= length - touch_m && s.from >= length - ashore_m);
        return s.to - s.from > touch_m && !at_end;
    });
}

StationMap::StationMap(const geo::Plane& plane, const std::vector<Station>& stations, Land land,
                       const StationDoubt& base)
    : plane_(&plane), land_(without_islets(std::move(land))), base_(base) {
    if (stations.empty())
        throw Failure(Fault::plan, {.object = "tide", .what = "no tide station"});
    for (const Station& station : stations) {
        Place place{.secondary = station.secondary};
        if (station.position)
            place.at = plane.to_plane(*station.position);
        if (!station.zone.empty()) {
            if (station.zone.size() < 3)
                refuse(station, fmt::format("a zone of {} corners", station.zone.size()), "three or more");
            std::vector<geo::Point> ring;
            plane.to_plane(station.zone, ring);
            place.zone = geo::Shape::of_area({ring});
        }
        if (stations.size() > 1 && !place.at && !place.zone)
            refuse(station, "neither position nor zone", "one of them where there are several stations");
        places_.push_back(std::move(place));
    }
}

/// Land that holds one end itself is no obstacle: gauges stand on quays, routes begin on beaches.
Choice StationMap::chosen(std::vector<std::pair<double, std::size_t>> by_distance, Chosen how) const {
    std::sort(by_distance.begin(), by_distance.end());
    Choice choice{.how = how, .doubt = base_};
    for (const auto& [metres, index] : by_distance) {
        const bool known = std::isfinite(metres);
        const auto d =
            station_doubt(places_[index].secondary, known ? std::optional(metres) : std::nullopt, base_);
        choice.doubt.height_m = std::max(choice.doubt.height_m, d.height_m);
        choice.doubt.time_s = std::max(choice.doubt.time_s, d.time_s);
        choice.stations.push_back(index);
    }
    // The order must not flicker along a line, or every metre would be a stretch of its own.
    const std::size_t nearest = choice.stations.front();
    if (std::isfinite(by_distance.front().first))
        choice.distance_m = by_distance.front().first;
    std::sort(choice.stations.begin(), choice.stations.end());
    std::rotate(choice.stations.begin(), std::find(choice.stations.begin(), choice.stations.end(), nearest),
                choice.stations.end());
    if (how == Chosen::across_land) {
        choice.doubt.height_m = std::max(choice.doubt.height_m, far_height_doubt_m);
        choice.doubt.time_s = std::max(choice.doubt.time_s, far_time_doubt_s);
    }
    return choice;
}

Choice StationMap::at(geo::Point place) const {
    constexpr double nowhere = std::numeric_limits<double>::infinity();
    std::vector<std::pair<double, std::size_t>> all, zoned;
    for (std::size_t i = 0; i < places_.size(); ++i) {
        all.emplace_back(places_[i].at ? distance(place, *places_[i].at) : nowhere, i);
        if (places_[i].zone && places_[i].zone->contains(place))
            zoned.push_back(all.back());
    }
    if (places_.size() == 1)
        return chosen(all, Chosen::only);
    if (!zoned.empty())
        return chosen(zoned, Chosen::zone);
    std::sort(all.begin(), all.end());
    std::vector<std::pair<double, std::size_t>> joined;
    for (const auto& [metres, index] : all) {
        if (!std::isfinite(metres) || (!joined.empty() && metres > nearly_as_near * joined.front().first))
            break;
        if (joined_by_water(land_, place, *places_[index].at))
            joined.emplace_back(metres, index);
    }
    return joined.empty() ? chosen(all, Chosen::across_land) : chosen(joined, Chosen::by_water);
}

Choice StationMap::at(geo::Position place) const {
    return at(plane_->to_plane(place));
}

std::vector<StationReach> StationMap::along(const std::vector<geo::Point>& line) const {
    std::vector<StationReach> reaches;
    if (line.size() < 2)
        return reaches;
    double leg_start = 0.0;
    reaches.push_back({0.0, 0.0, at(line.front())});
    for (std::size_t i = 1; i < line.size(); ++i) {
        const geo::Leg leg{line[i - 1], line[i]};
        const double length = leg.length();
        for (double here = 0.0; here < length;) {
            double next = std::min(here + sample_m, length);
            Choice choice = at(leg.at(next));
            if (choice.same_as(reaches.back().choice)) {
                here = next;
                continue;
            }
            while (next - here > boundary_m) {
                const double middle = 0.5 * (here + next);
                Choice there = at(leg.at(middle));
                if (there.same_as(reaches.back().choice)) {
                    here = middle;
                } else {
                    next = middle;
                    choice = std::move(there);
                }
            }
            reaches.back().to_m = leg_start + next;
            reaches.push_back({leg_start + next, 0.0, std::move(choice)});
            here = next;
        }
        leg_start += length;
    }
    reaches.back().to_m = leg_start;
    return reaches;
}

} // namespace dangerline::tide
