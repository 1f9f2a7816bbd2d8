#include "jobs/streams.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/stations.hpp"
#include "dangerline/sea/panel.hpp"

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

constexpr double day_s = 86400.0;

bool same_name(const std::string& a, const std::string& b) {
    const auto low = [](char c) { return std::tolower(static_cast<unsigned char>(c)); };
    return std::equal(a.begin(), a.end(), b.begin(), b.end(),
                      [&](char x, char y) { return low(x) == low(y); });
}

class StreamReader {
  public:
    StreamReader(const plan::Plan& plan, Instant from, Instant to)
        : plan_(plan), from_(from), to_(to), tides_(read_tides(plan, from - 3.0 * day_s, to + 3.0 * day_s)) {}

    void take(const plan::StreamSource& source) {
        if (source.kind == plan::StreamSource::Kind::grid) {
            grids.push_back(files::read_vector_grid(source.file, files::GridQuantity::stream));
            notes.push_back(fmt::format("stream forecast {}, {} to {}", grids.back().source,
                                        to_iso_utc(grids.back().times.front()),
                                        to_iso_utc(grids.back().times.back())));
            return;
        }
        sea::StreamStation& station = stations.emplace_back();
        station.name = source.name;
        station.position = source.position;
        if (source.kind == plan::StreamSource::Kind::harmonic) {
            station.words = "harmonic constants of " + source.file.filename().string();
            station.series = sea::harmonic_series(source.file, from_, to_);
            return;
        }
        auto panel = sea::read_panel(source.file);
        panel.from_low_water = source.from_low_water;
        const auto i = tide_number(source.of);
        const auto ranges = ranges_of(*i, source.spring_range_m, source.neap_range_m);
        if (!ranges)
            throw Failure(
                Fault::plan,
                {.file = plan_.file.string(),
                 .object = fmt::format("line {}, stream.of", source.line),
                 .what = "the mean spring range of " + source.of + " is not known",
                 .expected = "spring_range_m here or at its [[tide]], or constants with M2 and S2"});
        lay(panel, *i, *ranges, source.file.filename().string(), station);
    }

    /// A panel of a chart; true where it is bound to a tide of the plan.
    bool take(const chart::Feature& f, const chart::Cell& cell, const geo::Plane& plane) {
        sea::StreamStation& station = stations.emplace_back();
        const std::string name = f.attributes.text("OBJNAM");
        station.name = name.empty() ? "panel " + to_text(f.id) : name;
        station.position = plane.to_position(f.shape->points().front());
        station.words = "panel of " + cell.name;
        auto panel = sea::parse_panel(f.attributes.text("TS_TSP"), station.reason);
        if (!panel)
            return false;
        const auto i = panel->station.empty() ? std::nullopt : tide_number(panel->station);
        if (!i) {
            station.reason = panel->station.empty()
                                 ? "it names no tide station"
                                 : "the plan has no tide \"" + panel->station + "\" that its hours refer to";
            return false;
        }
        const auto ranges = ranges_of(*i, {}, {});
        if (!ranges) {
            station.reason = "the mean spring range of " + panel->station + " is not known (spring_range_m)";
            return false;
        }
        lay(*panel, *i, *ranges, cell.name, station);
        return true;
    }

    std::vector<sea::StreamStation> stations;
    std::vector<files::VectorGrid> grids;
    std::vector<std::string> notes;

  private:
    std::optional<std::size_t> tide_number(const std::string& name) const {
        for (std::size_t i = 0; i < plan_.tides.size(); ++i)
            if (same_name(plan_.tides[i].name, name))
                return i;
        return std::nullopt;
    }

    /// Of the source, of its tide, or from the constants of that: springs M2 + S2, neaps M2 - S2, both twice.
    std::optional<sea::Ranges> ranges_of(std::size_t i, std::optional<double> springs_m,
                                         std::optional<double> neaps_m) const {
        const plan::TideSource& tide = plan_.tides[i];
        if (!springs_m)
            springs_m = tide.spring_range_m;
        if (!neaps_m)
            neaps_m = tide.neap_range_m;
        if (tide.kind == plan::TideSource::Kind::harmonic && (!springs_m || !neaps_m)) {
            const auto constants = tide::read_constants(tide.constants);
            const auto m2 = constants.amplitude_m("M2"), s2 = constants.amplitude_m("S2");
            if (m2 && s2 && *m2 > *s2) {
                springs_m = springs_m.value_or(2.0 * (*m2 + *s2));
                neaps_m = neaps_m.value_or(2.0 * (*m2 - *s2));
            }
        }
        if (!springs_m || (neaps_m && !(*neaps_m < *springs_m)))
            return std::nullopt;
        return sea::Ranges{*springs_m, neaps_m};
    }

    void lay(const sea::Panel& panel, std::size_t i, const sea::Ranges& ranges, const std::string& from,
             sea::StreamStation& station) {
        const auto& curve = tides_[i].station.prediction.curve;
        const auto begin = std::max(from_ - 3.0 * day_s, curve.valid_from());
        const auto end = std::min(to_ + 3.0 * day_s, curve.valid_to());
        const auto& name = plan_.tides[i].name;
        if (begin < end && !curve.is_fixed())
            station.series = sea::panel_series(panel, curve.extremes(begin, end), ranges, from_, to_);
        station.reason = "no high and low waters of " + name + " for this time";
        station.words = fmt::format("panel of {} by {} {}, springs {:.1f} m", from,
                                    panel.from_low_water ? "LW" : "HW", name, ranges.springs_m);
    }

    const plan::Plan& plan_;
    Instant from_, to_;
    std::vector<TideOfPlan> tides_;
};

std::vector<sea::StreamBound> bounds_of(const std::vector<chart::Cell>& cells) {
    std::vector<sea::StreamBound> bounds;
    for (const auto& cell : cells)
        for (const auto& f : cell.features)
            if (const auto rate = f.attributes.number("CURVEL"); f.cls == "TS_FEB" && f.shape && rate)
                bounds.push_back({f.attributes.text("OBJNAM"), f.shape, *rate * mps_per_knot});
    return bounds;
}

} // namespace

Streams read_streams(const plan::Plan& plan, const geo::Plane& plane, const std::vector<chart::Cell>& cells,
                     tide::Land land, Instant from, Instant to) {
    StreamReader reader(plan, from, to);
    Streams out;
    for (const auto& source : plan.streams)
        reader.take(source);
    bool any = !plan.streams.empty() || plan.sea.rate_mps;
    for (const auto& cell : cells)
        for (const auto& f : cell.features)
            if (f.cls == "TS_PAD" && f.shape && !f.shape->empty() && !f.under_better)
                any = reader.take(f, cell, plane) || any;
    for (const auto& station : reader.stations)
        out.notes.push_back(station.words.find(" by ") == std::string::npos && !station.reason.empty()
                                ? station.name + ", " + station.words + ": not used, " + station.reason
                                : station.name + ", " + station.words);
    out.notes.insert(out.notes.end(), reader.notes.begin(), reader.notes.end());
    if (any)
        out.map = std::make_shared<const sea::StreamMap>(
            plane, std::move(reader.stations), std::move(reader.grids), bounds_of(cells), std::move(land),
            sea::StreamMap::Settings{plan.stream_reach_m, plan.sea.rate_mps});
    return out;
}

std::vector<passage::Wait> waits_of(const PlannedRoute& planned, const plan::Plan& plan, Instant from,
                                    Instant to) {
    std::vector<passage::Wait> waits;
    const auto& route = planned.route;
    for (const auto& wanted : planned.waits) {
        passage::Wait wait;
        if (wanted.number) {
            wait.place = *wanted.number - 1;
        } else {
            const auto at = std::find(route.place_names.begin(), route.place_names.end(), wanted.name);
            if (at == route.place_names.end())
                throw Failure(Fault::plan, {.file = plan.file.string(),
                                            .object = fmt::format("line {}, route.wait.place", wanted.line),
                                            .what = fmt::format("route \"{}\" has no place named \"{}\"",
                                                                route.name, wanted.name),
                                            .expected = "a name as in its file, or its number"});
            wait.place = static_cast<std::size_t>(at - route.place_names.begin());
        }
        wait.seconds = wanted.seconds;
        if (wanted.until)
            for (Instant day = from - day_s; day < to + 2.0 * day_s; day = day + day_s) {
                try {
                    wait.until.push_back(plan.zone.parse(to_text(day_of(day)) + " " + *wanted.until));
                } catch (const std::invalid_argument&) {
                    // That hour happens twice or never on this day: the wait goes on to the next day's.
                }
            }
        waits.push_back(std::move(wait));
    }
    if (planned.recovery_s > 0.0)
        waits.push_back({route.places.size() - 1, planned.recovery_s, {}});
    return waits;
}

passage::Voyage voyage_of(const passage::Track& track, const PlannedRoute& planned, const plan::Plan& plan,
                          const Streams& streams, Instant from, Instant to, double speed_factor,
                          passage::Voyage::Settings::Luck luck) {
    passage::Voyage::Settings settings;
    settings.waits = waits_of(planned, plan, from, to);
    settings.streams = streams.map.get();
    settings.from = from;
    settings.to = to;
    settings.speed_factor = speed_factor;
    settings.rate_max_mps = plan.sea.rate_mps;
    settings.luck = luck;
    return passage::Voyage(track, settings);
}

} // namespace dangerline::jobs
