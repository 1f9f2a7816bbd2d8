#include "jobs/tides_along.hpp"

#include <algorithm>
#include <cmath>

#include "dangerline/survey/allowance.hpp"

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

/// Metres of the track where a choice was made so, in miles.
double miles_chosen(const std::vector<tide::StationReach>& reaches, tide::Chosen how) {
    double metres = 0.0;
    for (const auto& reach : reaches)
        if (reach.choice.how == how)
            metres += reach.to_m - reach.from_m;
    return metres / metres_per_nautical_mile;
}

bool count_alike(const tide::Choice& a, const tide::Choice& b) {
    return a.how == b.how && a.doubt == b.doubt &&
           std::is_permutation(a.stations.begin(), a.stations.end(), b.stations.begin(), b.stations.end());
}

/// How far from its place the most doubtful of the objects may lie, beyond the 500 m that bottom_window()
/// allows for.
double farther_out_m(const std::vector<chart::Cell>& cells) {
    constexpr double allowed_m = 500.0;
    double farthest = allowed_m;
    for (const auto& cell : cells)
        for (const auto& f : cell.features) {
            farthest = std::max(farthest, f.posacc_m.value_or(0.0));
            if (f.quapos)
                farthest =
                    std::max(farthest, survey::quapos_radius(*f.quapos, static_cast<int>(cell.header.cscl)));
        }
    return farthest - allowed_m;
}

/// Of short pieces: the box of a whole slanting leg holds much that is far from it.
void add_boxes(const geo::Leg& leg, double wider_m, std::vector<geo::Box>& boxes) {
    constexpr double piece_m = 1000.0;
    const double length_m = leg.length(), pieces = std::max(1.0, std::ceil(length_m / piece_m));
    for (double i = 0.0; i < pieces; ++i) {
        const geo::Point a = leg.at(i / pieces * length_m), b = leg.at((i + 1.0) / pieces * length_m);
        boxes.push_back(
            geo::Box{std::min(a.x, b.x), std::min(a.y, b.y), std::max(a.x, b.x), std::max(a.y, b.y)}.grown(
                wider_m));
    }
}

} // namespace

TidesAlong::TidesAlong(const plan::Plan& plan, Instant first, Instant last)
    : plan_(plan), tides_(plan, first, last) {}

std::optional<hazard::BottomWindow> TidesAlong::bottom(const std::vector<passage::Track>& tracks,
                                                       const std::vector<chart::Cell>& cells,
                                                       double required_m) const {
    const auto levels = tides_.levels(cells);
    if (!levels)
        return std::nullopt;
    const double farther_m = farther_out_m(cells);
    std::vector<geo::Box> boxes;
    std::vector<geo::Position> places;
    for (const auto& track : tracks) {
        for (const auto& chord : track.chords())
            add_boxes(chord.leg, chord.half_width_m + farther_m, boxes);
        places.insert(places.end(), track.route().places.begin(), track.route().places.end());
    }
    return bottom_window(std::move(boxes), required_m, levels->lowest_m, levels->highest_m,
                         tides_.widest_doubts(places));
}

void TidesAlong::lay(const geo::Plane& plane, const hazard::Hazards& hazards,
                     const std::vector<passage::Track>& tracks) {
    const tide::StationMap map(plane, tides_.stations(), land_of(hazards),
                               {plan_.doubts.tide_height_m, plan_.doubts.tide_time_s});
    for (const auto& track : tracks) {
        tracks_.push_back(track.route().name);
        for (const auto& reach : reaches_.emplace_back(reaches_along(map, track)))
            tides_.count(reach.choice);
    }
}

std::string TidesAlong::distrust(std::size_t track) const {
    for (const auto& reach : reaches_.at(track))
        if (auto why = tides_.distrust(reach.choice); !why.empty())
            return why;
    return {};
}

std::vector<std::string> TidesAlong::warnings(std::size_t track) const {
    std::vector<std::string> out;
    const double apart = miles_chosen(reaches_.at(track), tide::Chosen::across_land);
    if (apart > 0.0)
        out.push_back(fmt::format("land lies on the straight lines between every tide station and {:.2f} NM "
                                  "of the route; the lowest of "
                                  "all stations counts there, with a doubt of at least {}",
                                  apart, doubt_words({tide::far_height_doubt_m, tide::far_time_doubt_s})));
    return out;
}

/// Where which station counts. One line a stretch of several stations; of a single one only a doubt that is
/// more than the plan's.
void TidesAlong::add_reaches(std::size_t track, std::vector<std::string>& notes) const {
    const tide::StationDoubt base{plan_.doubts.tide_height_m, plan_.doubts.tide_time_s};
    const auto& reaches = reaches_.at(track);
    for (std::size_t i = 0, next = 0; i < reaches.size(); i = next) {
        // Which of the same stations is the nearest makes no difference.
        while (next < reaches.size() && count_alike(reaches[i].choice, reaches[next].choice))
            ++next;
        const auto& choice = reaches[i].choice;
        const std::string where = fmt::format("{}, {:.2f} to {:.2f} NM: ", tracks_[track],
                                              reaches[i].from_m / metres_per_nautical_mile,
                                              reaches[next - 1].to_m / metres_per_nautical_mile);
        if (tides_.stations().size() > 1)
            notes.push_back(fmt::format("{}{} ({}), doubt {}", where, tides_.names(choice.stations),
                                        tide::to_text(choice.how), doubt_words(choice.doubt)));
        else if (!(choice.doubt == base))
            notes.push_back(
                fmt::format("{}doubt taken: {}, for a secondary port or a station over 10 NM away", where,
                            doubt_words(choice.doubt)));
    }
}

TideNotes TidesAlong::notes(std::optional<int> chart_code) const {
    TideNotes out = tides_.notes(chart_code);
    for (std::size_t t = 0; t < reaches_.size(); ++t)
        add_reaches(t, out.lines);
    if (const auto idle = tides_.idle(); !idle.empty())
        out.lines.push_back("of no account along these routes: " + idle);
    return out;
}

} // namespace dangerline::jobs
