#include "passage/shore.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

namespace dangerline::passage {

namespace {

using hazard::Hazard;
using hazard::Hazards;

/// S-57 CATSLC: what a boat is launched over.
bool is_launching_place(const Hazard& h) {
    constexpr int landing_steps = 11, ramp = 12, slipway = 13;
    return h.object.cls == "SLCONS" &&
           (h.category == landing_steps || h.category == ramp || h.category == slipway);
}

bool is_land(const Hazard& h) {
    return h.kind == hazard::Kind::shore || is_launching_place(h);
}

bool is_bottom_area(const Hazard& h) {
    return h.between && h.steps.front().extent->kind() == geo::ShapeKind::area;
}

/// Shoal end of a depth area's range.
double shoalest(const Hazard& h) {
    double depth = std::numeric_limits<double>::infinity();
    for (const auto& step : h.steps)
        depth = std::min(depth, step.depth.metres());
    return depth;
}

struct Entered {
    double at = 0.0; ///< metres from the landing
    std::uint32_t hazard = 0;
    double shoalest_m = 0.0;
};

/// Depth areas in the order the boat meets them going out from the landing, up to `limit` metres.
std::vector<Entered> areas_outward(const Track& track, const Hazards& hazards, bool at_start, double limit) {
    std::vector<Entered> out;
    for (const auto& chord : track.chords()) {
        const double near = at_start ? chord.from : track.length() - chord.to;
        if (near > limit)
            continue;
        for (const auto i : hazards.index->meeting(chord.box())) {
            const Hazard& h = hazards.all[i];
            if (!is_bottom_area(h))
                continue;
            for (const auto& along : geo::reach(chord.leg, *h.steps.front().extent, 0.0)) {
                const geo::Span s = Track::to_path(chord, along);
                const double at = at_start ? s.from : track.length() - s.to;
                // A mere touch, where the line follows an edge for no length, is no area entered.
                if (at <= limit && s.to - s.from > 0.5)
                    out.push_back({at, i, shoalest(h)});
            }
        }
    }
    std::sort(out.begin(), out.end(), [](const Entered& a, const Entered& b) { return a.at < b.at; });
    return out;
}

/// Along the depth surface going out from a landing, a metre at a time.
struct Soundings {
    std::optional<double> afloat_at;   ///< metres from the landing: the first water at all
    std::optional<double> deep_at;     ///< the first place with the required water
    std::optional<double> shoaling_at; ///< where the bottom stops deepening before that
};

Soundings sound(const Track& track, const Hazards& hazards, const std::vector<Entered>& areas, bool at_start,
                double to, double tide_m, double required_m) {
    constexpr double rise_m = 0.2; // less is the grain of the soundings
    Soundings out;
    double deepest = -std::numeric_limits<double>::infinity(), deepest_at = 0.0;
    for (std::size_t i = 0; i < areas.size(); ++i) {
        const auto& surface = hazards.all[areas[i].hazard].surface;
        const double end = i + 1 < areas.size() ? areas[i + 1].at : to;
        for (double at = areas[i].at; at <= end; at += 1.0) {
            const auto depth =
                surface ? surface->depth(track.point_at(at_start ? at : track.length() - at)) : std::nullopt;
            if (!depth)
                continue;
            if (*depth + tide_m > 0.0 && !out.afloat_at)
                out.afloat_at = at;
            // Counted as the steps count: by the shoal end of its decimetre.
            if (seabed::level_at_or_above(*depth) / 10.0 + tide_m >= required_m) {
                out.deep_at = at;
                return out;
            }
            if (*depth > deepest) {
                deepest = *depth;
                deepest_at = at;
            } else if (*depth < deepest - rise_m && !out.shoaling_at) {
                out.shoaling_at = deepest_at;
            }
        }
    }
    return out;
}

constexpr double farthest_m = 2000.0; // flats wider than that are no beach

double allowed(const std::optional<double>& said) {
    return said.value_or(default_shore_stretch_m);
}

/// Metres from the landing to the far end of the slip or ramp that the line runs along.
double end_of_slip(const Track& track, const Hazards& hazards, const std::vector<std::uint32_t>& joined,
                   bool at_start, double limit) {
    constexpr double beside_m = 15.0;
    double end = 0.0;
    for (const auto number : joined) {
        if (!is_launching_place(hazards.all[number]))
            continue;
        for (const auto& chord : track.chords())
            for (const auto& along :
                 geo::reach(chord.leg, *hazards.all[number].steps.front().extent, beside_m)) {
                const geo::Span s = Track::to_path(chord, along);
                const double far = at_start ? s.to : track.length() - s.from;
                if (far <= limit)
                    end = std::max(end, far);
            }
    }
    return end;
}

/// Land within the corridor of the end of the track.
std::vector<std::uint32_t> land_at(const Track& track, const Hazards& hazards, bool at_start) {
    const Chord& chord = at_start ? track.chords().front() : track.chords().back();
    const geo::Point end = at_start ? chord.leg.from : chord.leg.to;
    const double radius = chord.half_width_m;
    std::vector<std::uint32_t> found;
    for (const auto i : hazards.index->meeting(geo::Box{end.x, end.y, end.x, end.y}.grown(radius)))
        if (is_land(hazards.all[i]) && hazards.all[i].steps.front().extent->distance(end) <= radius)
            found.push_back(i);
    return found;
}

} // namespace

std::vector<Landing> find_landings(const Track& track, const Hazards& hazards, Water required,
                                   std::optional<double> tide_at_start_m,
                                   std::optional<double> tide_at_end_m) {
    std::vector<Landing> landings;
    for (const bool at_start : {true, false}) {
        const auto& said = at_start ? track.route().shore_start_m : track.route().shore_end_m;
        Landing landing;
        landing.at_start = at_start;
        landing.joined = land_at(track, hazards, at_start);
        if (allowed(said) <= 0.0 || landing.joined.empty())
            continue;
        double length = std::min(allowed(said), track.length());
        landing.why_it_ends = fmt::format("no place so near is sure to carry {:.1f} m", required.metres());
        double deepest = -std::numeric_limits<double>::infinity();
        const auto tide = at_start ? tide_at_start_m : tide_at_end_m;
        const auto areas = areas_outward(track, hazards, at_start, std::min(farthest_m, track.length()));
        if (tide) {
            const auto found = sound(track, hazards, areas, at_start, std::min(farthest_m, track.length()),
                                     *tide, required.metres());
            landing.waterline_m = found.afloat_at;
            landing.deep_m = found.deep_at;
            const double slip = end_of_slip(track, hazards, landing.joined, at_start, length);
            if (found.deep_at && std::max(*found.deep_at, slip) < length) {
                length = std::max(*found.deep_at, slip);
                landing.why_it_ends = fmt::format("there the bottom carries {:.1f} m", required.metres());
            }
            if (found.shoaling_at && *found.shoaling_at < length) {
                length = *found.shoaling_at;
                landing.why_it_ends = "the bottom stops deepening";
            }
        }
        for (const auto& entered : areas) {
            if (entered.at > length)
                break;
            if (!std::isfinite(entered.shoalest_m)) {
                length = entered.at;
                landing.why_it_ends = "a bottom nobody knows";
                break;
            }
            if (entered.shoalest_m < deepest) {
                length = entered.at;
                landing.why_it_ends = "the bottom stops deepening";
                break;
            }
            if (tide && entered.shoalest_m + *tide >= required.metres()) {
                length = entered.at;
                landing.why_it_ends = "a depth area that carries the required water";
                break;
            }
            deepest = entered.shoalest_m;
            landing.joined.push_back(entered.hazard);
        }
        std::sort(landing.joined.begin(), landing.joined.end());
        landing.joined.erase(std::unique(landing.joined.begin(), landing.joined.end()), landing.joined.end());
        const double outer = at_start ? length : track.length() - length;
        landing.stretch = at_start ? geo::Span{0.0, outer} : geo::Span{outer, track.length()};
        const geo::Point here = track.point_at(outer);
        const geo::Point on =
            track.point_at(at_start ? std::min(outer + 1.0, track.length()) : std::max(outer - 1.0, 0.0));
        const double step = std::hypot(on.x - here.x, on.y - here.y);
        const geo::Point outward =
            step > 0.0 ? geo::Point{(on.x - here.x) / step, (on.y - here.y) / step} : geo::Point{1.0, 0.0};
        // A contour seldom crosses the line squarely: what lies no further out than the corridor is wide
        // still belongs to the beach.
        const double w = track.route().half_widths_m[track.leg_at(outer)];
        landing.slack_m = w;
        landing.seaward = {{here.x + w * outward.x, here.y + w * outward.y}, outward};
        landings.push_back(std::move(landing));
    }
    return landings;
}

std::vector<geo::Span> landing_spans(const Track& track) {
    const double length = track.length();
    return {{0.0, std::min(allowed(track.route().shore_start_m), length)},
            {std::max(0.0, length - allowed(track.route().shore_end_m)), length}};
}

std::vector<double> landing_levels(const Track& track, const Hazards& hazards, Water required) {
    std::set<double> levels;
    const double to = std::min(farthest_m, track.length());
    for (const bool at_start : {true, false}) {
        const auto& said = at_start ? track.route().shore_start_m : track.route().shore_end_m;
        if (allowed(said) <= 0.0 || land_at(track, hazards, at_start).empty())
            continue;
        const auto areas = areas_outward(track, hazards, at_start, to);
        for (std::size_t i = 0; i < areas.size(); ++i) {
            if (std::isfinite(areas[i].shoalest_m))
                levels.insert(required.metres() - areas[i].shoalest_m);
            const auto& surface = hazards.all[areas[i].hazard].surface;
            const double end = i + 1 < areas.size() ? areas[i + 1].at : to;
            for (double at = areas[i].at; surface && at <= end; at += 1.0)
                if (const auto depth = surface->depth(track.point_at(at_start ? at : track.length() - at)))
                    levels.insert(required.metres() - seabed::level_at_or_above(*depth) / 10.0);
        }
    }
    return {levels.begin(), levels.end()};
}

Spans outside_stretch(const Landing& landing, const Chord& chord, const geo::Shape& shape, double radius,
                      const Spans& all) {
    const bool start = landing.at_start;
    const double outer = start ? landing.stretch.to : landing.stretch.from;
    // Shared contours are met at path coordinates that differ by rounding; a centimetre is of no meaning.
    constexpr double sliver_m = 0.01;
    const double back = radius + landing.slack_m + sliver_m;
    const geo::Span reaching_back = start ? geo::Span{outer, outer + back} : geo::Span{outer - back, outer};
    const geo::Span beyond = start ? geo::Span{outer + back, std::numeric_limits<double>::infinity()}
                                   : geo::Span{-std::numeric_limits<double>::infinity(), outer - back};
    Spans left;
    clip_into(all, beyond, left);
    if (chord.from <= reaching_back.to && chord.to >= reaching_back.from) {
        Spans seaward;
        for (const auto& along : geo::reach(chord.leg, shape, radius, landing.seaward))
            seaward.push_back(Track::to_path(chord, along));
        clip_into(seaward, reaching_back, left);
        std::erase_if(left, [outer](const geo::Span& s) {
            return std::abs(s.from - outer) <= sliver_m && std::abs(s.to - outer) <= sliver_m;
        });
    }
    geo::join(left);
    return left;
}

} // namespace dangerline::passage
