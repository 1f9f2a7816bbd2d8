#include "jobs/sounder.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/files/table.hpp"
#include "dangerline/hazard/bounds.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

constexpr double one_place_m = 25.0;

double depth_of(const files::TableRow& row) {
    const double depth = row.number("depth_m");
    if (!(depth > 0.0 && depth < 12'000.0))
        row.refuse("depth_m", fmt::format("{} is no depth under a boat", depth),
                   "metres over 0, positive down");
    return depth;
}

geo::Position place_of(const files::TableRow& row) {
    const geo::Position place{row.number("lon"), row.number("lat")};
    if (!(std::abs(place.lat_deg) <= 90.0))
        row.refuse("lat", fmt::format("{} is out of range", place.lat_deg), "degrees from -90 to 90");
    if (!(std::abs(place.lon_deg) <= 180.0))
        row.refuse("lon", fmt::format("{} is out of range", place.lon_deg), "degrees from -180 to 180");
    return place;
}

/// Neighbours in the log at one place.
std::vector<std::vector<Sounding>> by_place(const std::vector<Sounding>& log, const geo::Plane& plane) {
    std::vector<std::vector<Sounding>> places;
    geo::Point first{};
    for (const auto& sounding : log) {
        const auto p = plane.to_plane(sounding.place);
        if (places.empty() || std::hypot(p.x - first.x, p.y - first.y) > one_place_m) {
            places.emplace_back();
            first = p;
        }
        places.back().push_back(sounding);
    }
    return places;
}

std::optional<double> metres_of(const hazard::DepthBound& bound) {
    return bound.charted && std::isfinite(bound.charted->metres()) ? std::optional(bound.charted->metres())
                                                                   : std::nullopt;
}

/// Sounded less charted; with the range alone what lies beyond it.
std::optional<double> difference_of(const SoundedPlace& p) {
    if (!p.sounded_m)
        return std::nullopt;
    if (p.charted_m)
        return *p.sounded_m - *p.charted_m;
    if (!p.shoalest_m || !p.deepest_m)
        return std::nullopt;
    return *p.sounded_m - std::clamp(*p.sounded_m, *p.shoalest_m, *p.deepest_m);
}

SoundedPlace place_of(const std::vector<Sounding>& some, double transducer_m, geo::Point at,
                      const hazard::BottomBounds& bottom, const TideAt& tide_at) {
    std::vector<double> logged;
    for (const auto& sounding : some)
        logged.push_back(sounding.depth_m);
    SoundedPlace p{some.front().place, some.front().at, some.size(), survey::median(std::move(logged))};
    const auto there = bottom.at(at);
    if (there.surface && std::isfinite(there.surface->metres()))
        p.charted_m = there.surface->metres();
    p.shoalest_m = metres_of(there.shoalest);
    p.deepest_m = metres_of(there.deepest);
    if (there.datum == 0) {
        p.remark = "not known: " + there.shoalest.rests_on;
        return p;
    }
    p.datum = there.datum;
    p.doubt_m = std::max(there.shoalest.doubt_m, there.deepest.doubt_m);
    p.tide_m = tide_at(at, p.at, there.datum);
    if (!p.tide_m) {
        p.remark = "not known: no tide for this time above the datum of the chart";
        return p;
    }
    p.sounded_m = p.logged_m + transducer_m - *p.tide_m;
    p.difference_m = difference_of(p);
    if (!p.difference_m)
        p.remark = "not known: " + (p.shoalest_m ? there.deepest.rests_on : there.shoalest.rests_on);
    return p;
}

std::string offset_words(const std::optional<survey::CommonOffset>& offset, std::size_t differences,
                         std::size_t changed, std::size_t throughout) {
    if (!offset)
        return fmt::format(
            "{} places with a difference are too few to tell a common offset from local change", differences);
    const double off_m = std::abs(offset->metres);
    constexpr double shown_as_none = 0.05;
    std::string words =
        off_m < shown_as_none
            ? fmt::format("the log reads as chart and tide in the median of {} places", differences)
            : fmt::format("the log reads {:.1f} m {} than chart and tide in the median of {} places", off_m,
                          offset->metres > 0.0 ? "deeper" : "shoaler", differences);
    if (off_m >= survey::local_change_m)
        words += offset->metres > 0.0 ? ": wrong datum, day or draught offset?"
                                      : ": wrong datum, day or draught offset, or a bottom that has risen?";
    if (off_m > survey::greatest_offset_m)
        words += " Its depths prove nothing";
    words +=
        changed == 0 ? "; no local change beside it" : fmt::format("; local change at {} of them", changed);
    return throughout == 0 ? words
                           : words + fmt::format("; {} shoaler than charted count as cautions", throughout);
}

/// What an offset to the shoaler may hide is never taken out: it may be the bottom that has risen.
double taken_out_m(const survey::CommonOffset& offset) {
    return std::max(offset.metres, 0.0);
}

std::string remark_of(const SoundedPlace& p) {
    const auto off = fmt::format("{:.1f} m {} than the rest of the log", std::abs(*p.local_m),
                                 *p.local_m < 0.0 ? "shoaler" : "deeper");
    if (p.shoaler_throughout)
        return fmt::format("{:.1f} m shoaler than charted, {}", -*p.difference_m,
                           p.changed ? off : "as the rest of the log");
    return p.changed ? off : "as the rest of the log";
}

/// One hazard of neighbours in a log.
hazard::Hazard shoal_of(const TriedOutcome& outcome, std::size_t first, std::size_t last,
                        const geo::Plane& plane) {
    std::vector<geo::Point> at;
    const SoundedPlace* least = nullptr;
    const double out_m = taken_out_m(*outcome.offset);
    double most_m = 0.0;
    for (std::size_t i = first; i < last; ++i) {
        const auto& p = outcome.places[i];
        at.push_back(plane.to_plane(p.place));
        most_m = std::max(most_m, out_m - *p.difference_m);
        if (!least || *p.sounded_m < *least->sounded_m)
            least = &p;
    }
    hazard::Hazard h;
    h.object = {"", "", "", outcome.file};
    h.what = "less water than charted by a sounder";
    h.datum = least->datum;
    h.allowance.depth.a_m = std::max(survey::local_change_m, 3.0 * outcome.offset->spread_m);
    hazard::Step s;
    s.in_force = hazard::InForce::always;
    s.decides = hazard::Grade::caution;
    s.cause = hazard::Cause::survey;
    s.depth = Depth::from_metres(*least->sounded_m - out_m);
    s.extent = std::make_shared<const geo::Shape>(geo::Shape::of_points(std::move(at)));
    s.basis = fmt::format("up to {:.1f} m shoaler than chart and tide in the log of {} on {}, its median "
                          "of {:+.1f} m {}",
                          most_m, outcome.run.by, to_text(outcome.run.on), outcome.offset->metres + 0.0,
                          outcome.offset->metres < 0.0 ? "left in" : "taken out");
    h.box = s.extent->box();
    h.steps.push_back(std::move(s));
    return h;
}

} // namespace

std::vector<Sounding> read_sounder(const std::filesystem::path& path) {
    const auto table = files::Table::read(path);
    table.require({"time", "lon", "lat", "depth_m"});
    std::vector<Sounding> log;
    for (const auto& row : table.rows()) {
        log.push_back({row.utc("time"), place_of(row), depth_of(row)});
        if (log.size() > 1 && log.back().at < log[log.size() - 2].at)
            row.refuse("time", "runs backwards", "times in order");
    }
    if (log.empty())
        throw Failure(Fault::data, {.file = path.string(), .object = {}, .what = "holds no sounding"});
    return log;
}

void compare_soundings(const std::vector<Sounding>& log, double transducer_m, const geo::Plane& plane,
                       const std::vector<chart::Cell>& cells, const TideAt& tide_at, TriedOutcome& out) {
    constexpr double around_m = 1000.0;
    const auto groups = by_place(log, plane);
    std::vector<geo::Point> at;
    std::vector<geo::Box> near;
    for (const auto& group : groups) {
        at.push_back(plane.to_plane(group.front().place));
        near.push_back(geo::Box{at.back().x, at.back().y, at.back().x, at.back().y}.grown(around_m));
    }
    const hazard::BottomBounds bottom(cells, std::move(near));
    std::vector<double> differences;
    for (std::size_t i = 0; i < groups.size(); ++i) {
        out.places.push_back(place_of(groups[i], transducer_m, at[i], bottom, tide_at));
        if (out.places.back().difference_m)
            differences.push_back(*out.places.back().difference_m);
    }
    out.offset = survey::common_offset(differences);
    std::size_t changed = 0, throughout = 0;
    for (auto& p : out.places) {
        if (!p.difference_m || !out.offset)
            continue;
        p.local_m = *p.difference_m - out.offset->metres;
        p.changed = survey::is_local_change(*p.difference_m, *out.offset);
        changed += p.changed;
        p.shoaler_throughout =
            out.offset->metres < -survey::local_change_m && *p.difference_m < -survey::local_change_m;
        throughout += p.shoaler_throughout;
        p.remark = remark_of(p);
    }
    out.offset_words = offset_words(out.offset, differences.size(), changed, throughout);
}

std::vector<hazard::Hazard> shoals_of(const std::vector<TriedOutcome>& outcomes, const geo::Plane& plane) {
    std::vector<hazard::Hazard> out;
    for (const auto& outcome : outcomes) {
        const auto& places = outcome.places;
        for (std::size_t i = 0; i < places.size(); ++i) {
            if (!places[i].shoaler())
                continue;
            const std::size_t first = i;
            while (i < places.size() && places[i].shoaler() && places[i].datum == places[first].datum)
                ++i;
            out.push_back(shoal_of(outcome, first, i, plane));
            --i;
        }
    }
    return out;
}

} // namespace dangerline::jobs
