#include "dangerline/passage/checkpoints.hpp"

#include <algorithm>
#include <cmath>

#include "dangerline/survey/standards.hpp"

namespace dangerline::passage {

namespace {

/// The depth area there that has a surface above that datum; null where there is none.
const hazard::Hazard* laid_at(const hazard::Hazards& hazards, geo::Point at, int datum) {
    for (const auto i : hazards.index->meeting({at.x, at.y, at.x, at.y})) {
        const auto& h = hazards.all[i];
        if (h.surface && h.datum == datum && h.surface->depth(at))
            return &h;
    }
    return nullptr;
}

bool is_ashore(const hazard::Hazards& hazards, geo::Point at) {
    const auto near = hazards.index->meeting({at.x, at.y, at.x, at.y});
    return std::any_of(near.begin(), near.end(), [&](std::uint32_t i) {
        const auto& h = hazards.all[i];
        return h.object.cls == "LNDARE" && h.steps.front().extent->distance(at) <= 0.0;
    });
}

/// By the quality zones of the place itself; where none is charted as the least of them.
double survey_doubt(const hazard::Hazards& hazards, geo::Point at, double depth_m) {
    constexpr int unassessed = 6;
    std::optional<double> doubt;
    for (const auto& zone : hazards.zones)
        if (zone.shape->contains(at))
            doubt = std::max(doubt.value_or(0.0), survey::zone_of_confidence(zone.catzoc).depth.at(depth_m));
    return doubt.value_or(survey::zone_of_confidence(unassessed).depth.at(depth_m));
}

struct TideNow {
    double metres = 0.0;
    double doubt_m = 0.0;
};

/// The middle of what the stations that count say, their differences and doubts around it.
std::optional<TideNow> tide_now(const Conditions& c, double s, int datum, Instant t) {
    for (const auto& reach : c.tides.reaches) {
        if (s < reach.from_m || s > reach.to_m)
            continue;
        const auto low = tide::lowest_there(c.tides.stations, reach.choice, datum, t, t);
        const auto high = tide::highest_there(c.tides.stations, reach.choice, datum, t, t);
        if (!low || !high)
            return std::nullopt;
        const double height = std::max(c.doubts.tide_height_m, reach.choice.doubt.height_m);
        const double rate = std::max(std::abs(low->rate_mps), std::abs(high->rate_mps));
        const double time = rate * (std::max(c.doubts.tide_time_s, reach.choice.doubt.time_s));
        const double half = (high->height.metres() - low->height.metres()) / 2.0;
        return TideNow{low->height.metres() + half, half + std::hypot(height, time)};
    }
    return std::nullopt;
}

Checkpoint checkpoint(const Track& track, const Timetable& timetable, const hazard::Hazards& hazards,
                      const hazard::DepthBounds& bounds, const Conditions& c, std::size_t place) {
    const double s = track.place_coordinates()[place];
    Checkpoint out;
    out.place = place;
    out.when = timetable.at(s);
    if (s > timetable.held_to()) {
        out.reason = "no time is known for this place";
        return out;
    }
    if (bounds.datum == 0) {
        out.reason = bounds.shoalest.rests_on;
        return out;
    }
    const auto tide = c.tide_distrust.empty() ? tide_now(c, s, bounds.datum, out.when) : std::nullopt;
    if (!tide) {
        out.reason = "no tide is known for this time";
        return out;
    }
    out.tide_m = tide->metres;
    if (const auto* area = laid_at(hazards, track.point_at(s), bounds.datum)) {
        const double depth = *area->surface->depth(track.point_at(s));
        out.water_m = depth + tide->metres;
        out.doubt_m = std::hypot(tide->doubt_m, survey_doubt(hazards, track.point_at(s), depth));
    }
    const auto least = bounds.no_shoaler_than(), most = bounds.no_deeper_than();
    if (least && most) {
        out.least_m = std::max(0.0, least->metres() + tide->metres - tide->doubt_m);
        out.most_m = most->metres() + tide->metres + tide->doubt_m;
    } else if (!out.water_m) {
        out.reason = least ? bounds.deepest.rests_on : bounds.shoalest.rests_on;
    }
    return out;
}

} // namespace

std::vector<Checkpoint> checkpoints_of(const Track& track, const Timetable& timetable,
                                       const hazard::Hazards& hazards, const hazard::BottomBounds& bounds,
                                       const Conditions& conditions) {
    std::vector<Checkpoint> afloat;
    for (std::size_t i = 0; i < track.place_coordinates().size(); ++i) {
        const auto at = track.point_at(track.place_coordinates()[i]);
        if (is_ashore(hazards, at))
            continue;
        auto there = checkpoint(track, timetable, hazards, bounds.at(at), conditions, i);
        if (!there.water_m || *there.water_m > 0.0)
            afloat.push_back(std::move(there));
    }
    std::vector<Checkpoint> out;
    const std::size_t count = std::min(afloat.size(), most_checkpoints);
    for (std::size_t k = 0; k < count; ++k) // first and last among them, the rest evenly between
        out.push_back(afloat[count == 1 ? 0 : k * (afloat.size() - 1) / (count - 1)]);
    return out;
}

} // namespace dangerline::passage
