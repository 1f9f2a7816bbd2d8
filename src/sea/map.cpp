#include "dangerline/sea/map.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::sea {

namespace {

constexpr double nearest_m = 1.0; // closer than this weighs no more

std::optional<Stream> in_grid(const files::VectorGrid& grid, geo::Position place, Instant t) {
    const auto there = grid.value(place, t);
    if (!there)
        return std::nullopt;
    return Stream{there->east, there->north};
}

} // namespace

StreamMap::StreamMap(const geo::Plane& plane, std::vector<StreamStation> stations,
                     std::vector<files::VectorGrid> grids, std::vector<StreamBound> bounds, tide::Land land,
                     const Settings& settings)
    : plane_(&plane), stations_(std::move(stations)), grids_(std::move(grids)), bounds_(std::move(bounds)),
      land_(tide::without_islets(std::move(land))), settings_(settings) {
    for (const auto& station : stations_)
        places_.push_back(plane.to_plane(station.position));
}

std::vector<StreamMap::Near> StreamMap::near(geo::Point place) const {
    std::vector<Near> out;
    double sum = 0.0;
    for (std::size_t i = 0; i < places_.size(); ++i) {
        const double metres = std::hypot(places_[i].x - place.x, places_[i].y - place.y);
        if (metres > settings_.reach_m || !tide::joined_by_water(land_, place, places_[i]))
            continue;
        out.push_back({i, 1.0 / std::max(metres, nearest_m)});
        sum += out.back().weight;
    }
    for (auto& one : out)
        one.weight /= sum;
    return out;
}

StreamMap::Joined StreamMap::join(const std::vector<Near>& near, Instant when, bool with_words) const {
    Joined out;
    if (near.empty()) {
        if (with_words)
            out.reason =
                fmt::format("no stream station within {:.1f} NM has only water on the straight line to it",
                            settings_.reach_m / metres_per_nautical_mile);
        return out;
    }
    Stream mean;
    double greatest = 0.0;
    std::vector<Stream> streams;
    for (const auto& one : near) {
        const auto value = stations_[one.station].series.value(when);
        if (!value) {
            if (with_words)
                out.reason = stations_[one.station].name + ": " +
                             (stations_[one.station].reason.empty() ? "no data for this time"
                                                                    : stations_[one.station].reason);
            return out;
        }
        mean.east_mps += one.weight * value->east_mps;
        mean.north_mps += one.weight * value->north_mps;
        greatest = std::max(greatest, value->rate_mps());
        streams.push_back(*value);
    }
    out.bound_mps = greatest;
    for (std::size_t i = 0; i < streams.size(); ++i)
        for (std::size_t j = 0; j < i; ++j)
            if (streams[i].rate_mps() >= slack_mps && streams[j].rate_mps() >= slack_mps &&
                angle_between_deg(streams[i], streams[j]) >= opposite_sets_deg) {
                if (with_words)
                    out.reason = fmt::format("{} and {} set {:.0f} degrees apart",
                                             stations_[near[j].station].name, stations_[near[i].station].name,
                                             angle_between_deg(streams[i], streams[j]));
                return out;
            }
    out.stream = mean;
    return out;
}

std::optional<double> StreamMap::bound_at(geo::Point place) const {
    std::optional<double> least = settings_.rate_max_mps;
    for (const auto& bound : bounds_) {
        const double reach = bound.extent->kind() == geo::ShapeKind::area ? 0.0 : settings_.reach_m;
        if (bound.extent->distance(place) <= reach)
            least = least ? std::max(*least, bound.rate_mps) : bound.rate_mps;
    }
    return least;
}

StreamThere StreamMap::at(geo::Point place, Instant when) const {
    const auto position = plane_->to_position(place);
    for (const auto& grid : grids_)
        if (const auto stream = in_grid(grid, position, when))
            return {stream, stream->rate_mps(), "forecast " + grid.source, {}};
    const auto around = near(place);
    auto joined = join(around, when, true);
    StreamThere out;
    if (joined.stream) {
        for (const auto& one : around)
            out.source += (out.source.empty() ? "" : " | ") +
                          (around.size() > 1 ? fmt::format("{:.0f} % ", 100.0 * one.weight) : std::string()) +
                          stations_[one.station].name + ", " + stations_[one.station].words;
        out.stream = joined.stream;
        out.bound_mps = joined.bound_mps;
        return out;
    }
    out.reason = joined.reason;
    if (!grids_.empty())
        out.reason += "; no forecast holds for this place and time";
    out.bound_mps = joined.bound_mps;
    if (const auto bound = bound_at(place))
        out.bound_mps = std::max(*bound, joined.bound_mps.value_or(0.0));
    return out;
}

PlaceStream StreamMap::fix(geo::Point place) const {
    return [this, around = near(place), position = plane_->to_position(place)](Instant t) {
        for (const auto& grid : grids_)
            if (auto stream = in_grid(grid, position, t))
                return stream;
        return join(around, t, false).stream;
    };
}

} // namespace dangerline::sea
