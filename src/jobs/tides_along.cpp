#include "jobs/tides_along.hpp"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

constexpr double day_s = 86400.0;

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

std::string doubt_words(const tide::StationDoubt& doubt) {
    return fmt::format("{:.1f} m and {:.0f} min", doubt.height_m, doubt.time_s / 60.0);
}

} // namespace

TidesAlong::TidesAlong(const plan::Plan& plan, Instant first, Instant last)
    : plan_(plan), first_(first), last_(last) {
    auto all = read_tides(plan, first - day_s, last + day_s);
    stations_ = stations_of(plan, all);
    for (std::size_t i = 0; i < all.size(); ++i)
        if (!plan.tides.at(i).standard_port_only()) {
            source_of_.push_back(i);
            tides_.push_back(std::move(all[i]));
        }
    counts_.assign(stations_.size(), false);
}

/// No choice along the tracks can have more.
passage::Doubts TidesAlong::widest_doubts(const std::vector<passage::Track>& tracks) const {
    tide::StationDoubt widest{plan_.doubts.tide_height_m, plan_.doubts.tide_time_s};
    const tide::StationDoubt base = widest;
    for (const auto& station : stations_) {
        // Of several any may count far away, and across land; of one the farthest place tells.
        std::optional<double> farthest_m;
        if (stations_.size() > 1)
            farthest_m = std::numeric_limits<double>::infinity();
        else if (station.position)
            for (const auto& track : tracks)
                for (const auto& place : track.route().places)
                    farthest_m = std::max(farthest_m.value_or(0.0),
                                          geo::geodesic_between(*station.position, place).metres);
        const auto doubt = tide::station_doubt(station.secondary, farthest_m, base);
        widest.height_m = std::max(widest.height_m, doubt.height_m);
        widest.time_s = std::max(widest.time_s, doubt.time_s);
    }
    passage::Doubts doubts = plan_.doubts;
    doubts.tide_height_m = widest.height_m;
    doubts.tide_time_s = widest.time_s;
    return doubts;
}

std::optional<hazard::BottomWindow> TidesAlong::bottom(const std::vector<passage::Track>& tracks,
                                                       const std::vector<chart::Cell>& cells,
                                                       double required_m) const {
    double least = std::numeric_limits<double>::infinity(), most = -least;
    for (const auto& station : stations_) {
        const auto& curve = station.prediction.curve;
        const Instant from = std::max(first_ - day_s, curve.valid_from());
        const Instant to = std::min(last_ + day_s, curve.valid_to());
        if (stations_.size() > 1 && !(from <= to))
            continue; // it has no height to judge with in all that time
        const auto low = curve.lowest(from, to), high = curve.highest(from, to);
        if (!low || !high)
            return std::nullopt;
        for (const auto& cell : cells) {
            if (!station.datums.offset_to(cell.header.sdat))
                return std::nullopt;
            // A datum that is not linked is refused where anything above it is met.
            for (const int code : chart::sounding_datums(cell)) {
                const double offset = station.datums.offset_to(code).value_or(0.0);
                least = std::min(least, low->height.metres() + offset);
                most = std::max(most, high->height.metres() + offset);
            }
        }
    }
    if (!(least <= most))
        return std::nullopt;
    std::vector<geo::Box> boxes;
    for (const auto& track : tracks)
        for (const auto& chord : track.chords())
            boxes.push_back(chord.box());
    return bottom_window(std::move(boxes), required_m, least, most, widest_doubts(tracks));
}

void TidesAlong::lay(const geo::Plane& plane, const hazard::Hazards& hazards,
                     const std::vector<passage::Track>& tracks) {
    const tide::StationMap map(plane, stations_, land_of(hazards),
                               {plan_.doubts.tide_height_m, plan_.doubts.tide_time_s});
    for (const auto& track : tracks) {
        tracks_.push_back(track.route().name);
        for (const auto& reach : reaches_.emplace_back(reaches_along(map, track)))
            for (const std::size_t i : reach.choice.stations)
                counts_[i] = true;
    }
}

std::string TidesAlong::distrust(std::size_t track) const {
    for (const auto& reach : reaches_.at(track))
        for (const std::size_t i : reach.choice.stations)
            if (!tides_[i].distrust.empty())
                return tides_[i].distrust;
    return {};
}

std::vector<std::string> TidesAlong::warnings(std::size_t track) const {
    std::vector<std::string> out;
    const double apart = miles_chosen(reaches_.at(track), tide::Chosen::across_land);
    if (apart > 0.0)
        out.push_back(
            fmt::format("no tide station is joined by water to {:.2f} NM of the route; the lowest of "
                        "all stations counts there, with a doubt of at least {}",
                        apart, doubt_words({tide::far_height_doubt_m, tide::far_time_doubt_s})));
    return out;
}

std::string TidesAlong::words() const {
    std::string words;
    for (std::size_t i = 0; i < tides_.size(); ++i)
        if (counts_[i])
            words += (words.empty() ? "" : " | ") + tides_[i].words;
    return words;
}

std::string TidesAlong::named(std::size_t station, const std::string& words) const {
    return stations_.size() > 1 ? stations_[station].name + ": " + words : words;
}

std::string TidesAlong::names(const std::vector<std::size_t>& stations) const {
    std::string words;
    for (const std::size_t i : stations)
        words += (words.empty() ? "" : " or ") + stations_[i].name;
    return stations.size() > 1 ? words + ", whichever is lower" : words;
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
        if (stations_.size() > 1)
            notes.push_back(fmt::format("{}{} ({}), doubt {}", where, names(choice.stations),
                                        tide::to_text(choice.how), doubt_words(choice.doubt)));
        else if (!(choice.doubt == base))
            notes.push_back(
                fmt::format("{}doubt taken: {}, for a secondary port or a station over 10 NM away", where,
                            doubt_words(choice.doubt)));
    }
}

TideNotes TidesAlong::notes(std::optional<int> chart_code) const {
    TideNotes out;
    std::string idle;
    for (std::size_t i = 0; i < stations_.size(); ++i) {
        if (!counts_[i]) {
            idle += (idle.empty() ? "" : ", ") + stations_[i].name;
            continue;
        }
        const auto offset = chart_code ? stations_[i].datums.offset_to(*chart_code) : std::nullopt;
        const auto levels =
            tide_notes(plan_, plan_.tides.at(source_of_[i]), offset, "chart datum", first_, last_);
        for (const auto& line : levels.lines)
            out.lines.push_back(named(i, line));
        for (const auto& warning : levels.warnings)
            out.warnings.push_back(named(i, warning));
        for (const auto& note : tides_[i].notes)
            out.lines.push_back(named(i, note));
    }
    for (std::size_t t = 0; t < reaches_.size(); ++t)
        add_reaches(t, out.lines);
    if (!idle.empty())
        out.lines.push_back("of no account along these routes: " + idle);
    return out;
}

} // namespace dangerline::jobs
