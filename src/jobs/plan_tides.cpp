#include "jobs/plan_tides.hpp"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

constexpr double day_s = 86400.0;

} // namespace

std::string doubt_words(const tide::StationDoubt& doubt) {
    return fmt::format("{:.1f} m and {:.0f} min", doubt.height_m, doubt.time_s / 60.0);
}

PlanTides::PlanTides(const plan::Plan& plan, Instant first, Instant last)
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

passage::Doubts PlanTides::widest_doubts(const std::vector<geo::Position>& places) const {
    tide::StationDoubt widest{plan_.doubts.tide_height_m, plan_.doubts.tide_time_s};
    const tide::StationDoubt base = widest;
    for (const auto& station : stations_) {
        // Of several any may count far away, and across land; of one the farthest place tells.
        std::optional<double> farthest_m;
        if (stations_.size() > 1)
            farthest_m = std::numeric_limits<double>::infinity();
        else if (station.position)
            for (const auto& place : places)
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

std::optional<PlanTides::Levels> PlanTides::levels(const std::vector<chart::Cell>& cells) const {
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
    return Levels{least, most};
}

void PlanTides::count(const tide::Choice& choice) {
    for (const std::size_t i : choice.stations)
        counts_[i] = true;
}

std::string PlanTides::distrust(const tide::Choice& choice) const {
    for (const std::size_t i : choice.stations)
        if (!tides_[i].distrust.empty())
            return tides_[i].distrust;
    return {};
}

std::string PlanTides::words() const {
    std::string words;
    for (std::size_t i = 0; i < tides_.size(); ++i)
        if (counts_[i])
            words += (words.empty() ? "" : " | ") + tides_[i].words;
    return words;
}

std::string PlanTides::named(std::size_t station, const std::string& words) const {
    return stations_.size() > 1 ? stations_[station].name + ": " + words : words;
}

std::string PlanTides::names(const std::vector<std::size_t>& stations) const {
    std::string words;
    for (const std::size_t i : stations)
        words += (words.empty() ? "" : " or ") + stations_[i].name;
    return stations.size() > 1 ? words + ", whichever is lower" : words;
}

std::string PlanTides::idle() const {
    std::string idle;
    for (std::size_t i = 0; i < stations_.size(); ++i)
        if (!counts_[i])
            idle += (idle.empty() ? "" : ", ") + stations_[i].name;
    return idle;
}

TideNotes PlanTides::notes(std::optional<int> chart_code) const {
    TideNotes out;
    for (std::size_t i = 0; i < stations_.size(); ++i) {
        if (!counts_[i])
            continue;
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
    return out;
}

} // namespace dangerline::jobs
