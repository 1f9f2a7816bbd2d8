#include "dangerline/jobs/stations.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/files/zone.hpp"
#include "dangerline/tide/harmonic.hpp"
#include "dangerline/tide/secondary.hpp"
#include "dangerline/tide/series.hpp"
#include "jobs/tide_source.hpp"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

using Kind = plan::TideSource::Kind;

/// A tide before weather, and the high and low waters a secondary port is made from.
struct Source {
    tide::Prediction prediction;
    std::optional<int> datum; ///< as its file says
    std::vector<tide::HighOrLow> tides;
    std::optional<double> longest_s; ///< for tides made from these
};

Source read_source(const plan::Plan& plan, const plan::TideSource& source, Instant from, Instant to) {
    Source out;
    switch (source.kind) {
    case Kind::fixed:
        out.prediction.curve = tide::Curve::fixed(TideHeight::from_metres(source.height_m),
                                                  fmt::format("fixed height {:.2f} m", source.height_m));
        break;
    case Kind::harmonic:
        out.prediction.curve =
            tide::Curve::harmonic(tide::read_constants(source.constants), source.mean_level_m, from, to);
        out.tides = out.prediction.curve.extremes(from, to);
        out.longest_s = std::numeric_limits<double>::infinity(); // a prediction misses none
        break;
    case Kind::table: {
        const auto table = tide::read_high_low(source.file, source.times);
        out = {tide::half_cosine(table.tides, source.longest_gap_s, "table " + table.source), table.datum,
               table.tides, source.longest_gap_s};
        break;
    }
    case Kind::curve: {
        auto series =
            tide::read_series(source.file, source.times, source.longest_gap_s.value_or(tide::longest_step_s));
        out.prediction = std::move(series.prediction);
        out.datum = series.datum;
        const auto& curve = out.prediction.curve;
        out.tides = curve.extremes(curve.valid_from(), curve.valid_to());
        break;
    }
    case Kind::secondary: {
        const auto& port = tide_named(plan, source.of);
        const Source standard =
            read_source(plan, port, from - tide::secondary_reach_s, to + tide::secondary_reach_s);
        out.prediction = tide::secondary(standard.tides, tide::read_differences(source.file),
                                         standard.longest_s, "secondary port of " + source.of);
        break;
    }
    case Kind::none:
        throw Failure(Fault::plan,
                      {.file = plan.file.string(), .object = "tide", .what = "the plan names no tide"});
    }
    return out;
}

tide::DatumChain datums_of(const plan::Plan& plan, const plan::TideSource& source,
                           std::optional<int> of_file) {
    tide::DatumChain datums = source.datums;
    if (of_file && datums.source_code && *of_file != *datums.source_code)
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = fmt::format("line {}, tide.datum", source.line),
                                    .what = fmt::format("the plan says {}, {} says {}",
                                                        tide::datum_text(*datums.source_code),
                                                        source.file.string(), tide::datum_text(*of_file)),
                                    .expected = "one datum"});
    if (!datums.source_code)
        datums.source_code = of_file;
    return datums;
}

} // namespace

tide::Prediction prediction_of(const plan::Plan& plan, const plan::TideSource& source, Instant from,
                               Instant to) {
    return read_source(plan, source, from, to).prediction;
}

std::vector<TideOfPlan> read_tides(const plan::Plan& plan, Instant from, Instant to) {
    std::vector<TideOfPlan> tides;
    for (const plan::TideSource& source : plan.tides) {
        Source read = read_source(plan, source, from, to);
        TideOfPlan& out = tides.emplace_back();
        out.station.name = source.name;
        out.station.position = source.position;
        out.station.zone = source.zone_file.empty() ? source.zone : files::read_zone(source.zone_file);
        out.station.secondary = source.kind == Kind::secondary;
        out.station.datums = datums_of(plan, source, read.datum);
        out.words = tide_words(plan, source, out.station.datums);
        out.distrust = tide_distrust(plan, source);
        out.notes = read.prediction.notes;
        out.station.prediction = std::move(read.prediction);
        const std::string weather = tide::weather_words(plan.weather);
        if (weather.empty())
            continue;
        if (holds_weather(plan, source)) {
            out.notes.push_back("its heights hold the weather already: pressure and surge are not added");
        } else {
            auto& curve = out.station.prediction.curve;
            curve = tide::with_weather(curve, plan.weather);
        }
    }
    return tides;
}

std::vector<tide::Station> stations_of(const plan::Plan& plan, const std::vector<TideOfPlan>& tides) {
    std::vector<tide::Station> stations;
    for (std::size_t i = 0; i < tides.size(); ++i)
        if (!plan.tides.at(i).standard_port_only())
            stations.push_back(tides[i].station);
    return stations;
}

std::vector<tide::StationReach> reaches_along(const tide::StationMap& map, const passage::Track& track) {
    std::vector<tide::StationReach> reaches;
    for (const passage::Chord& chord : track.chords())
        for (tide::StationReach& reach : map.along({chord.leg.from, chord.leg.to})) {
            const geo::Span path = passage::Track::to_path(chord, {reach.from_m, reach.to_m});
            if (!reaches.empty() && reaches.back().choice.same_as(reach.choice)) {
                reaches.back().to_m = path.to;
                continue;
            }
            // A stretch begins where the one before ends, to the last bit.
            const double from = reaches.empty() ? 0.0 : reaches.back().to_m;
            reaches.push_back({from, path.to, std::move(reach.choice)});
        }
    if (!reaches.empty())
        reaches.back().to_m = track.length();
    return reaches;
}

tide::Land land_of(const hazard::Hazards& hazards) {
    tide::Land land;
    for (const hazard::Hazard& h : hazards.all)
        if (h.object.cls == "LNDARE" && !h.steps.empty() && h.steps.front().extent &&
            h.steps.front().extent->kind() == geo::ShapeKind::area)
            land.push_back(h.steps.front().extent);
    return land;
}

tide::Land land_of(const std::vector<chart::Cell>& cells) {
    tide::Land land;
    for (const auto& cell : cells)
        for (const auto& f : cell.features)
            if (f.cls == "LNDARE" && !f.under_better && f.shape && f.shape->kind() == geo::ShapeKind::area)
                land.push_back(f.shape);
    return land;
}

} // namespace dangerline::jobs
