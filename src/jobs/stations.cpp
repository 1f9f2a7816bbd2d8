#include "dangerline/jobs/stations.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/tide/harmonic.hpp"
#include "dangerline/tide/secondary.hpp"
#include "dangerline/tide/series.hpp"
#include "dangerline/tide/summary.hpp"

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

const plan::TideSource& named(const plan::Plan& plan, const std::string& name) {
    const auto at = std::find_if(plan.tides.begin(), plan.tides.end(),
                                 [&](const plan::TideSource& t) { return t.name == name; });
    if (at == plan.tides.end())
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = "tide",
                                    .what = "no tide of this plan is named \"" + name + "\""});
    return *at;
}

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
        const auto& port = named(plan, source.of);
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

/// Whether the tide can be reckoned for any year.
bool is_for_all_years(const plan::Plan& plan, const plan::TideSource& source) {
    return source.kind == Kind::harmonic ||
           (source.kind == Kind::secondary && named(plan, source.of).kind == Kind::harmonic);
}

std::string years(const tide::Summary& s) {
    return s.first_year == s.last_year ? std::to_string(s.first_year)
                                       : fmt::format("{}-{}", s.first_year, s.last_year);
}

/// What a file holds, above its own datum moved by `offset_m`.
std::vector<std::string> own_span(const tide::Curve& curve, double offset_m, const std::string& remark) {
    constexpr double infinity = std::numeric_limits<double>::infinity();
    double lowest = infinity, highest = -infinity;
    for (const tide::Piece& piece : curve.pieces()) {
        lowest = std::min(lowest, curve.lowest(piece.start, piece.end()).value().height.metres());
        highest = std::max(highest, curve.highest(piece.start, piece.end()).value().height.metres());
    }
    if (lowest > highest)
        return {"no height is known at any time"};
    return {fmt::format("lowest {:.2f} m, highest {:.2f} m from {} to {}{}", lowest + offset_m,
                        highest + offset_m, to_iso_utc(curve.valid_from()), to_iso_utc(curve.valid_to()),
                        remark)};
}

} // namespace

std::string words_of(const plan::TideSource& source, const tide::DatumChain& datums) {
    const std::string datum =
        datums.source_code ? tide::datum_text(*datums.source_code) : "an unstated datum";
    const auto file = source.file.filename().string();
    std::string words;
    switch (source.kind) {
    case Kind::fixed:
        words = fmt::format("fixed height {:.2f} m", source.height_m);
        break;
    case Kind::harmonic:
        words = fmt::format("harmonic prediction from {}, mean level {:.2f} m",
                            source.constants.filename().string(), source.mean_level_m);
        break;
    case Kind::table:
        words = "high and low waters of " + file + ", half-cosine between";
        break;
    case Kind::secondary:
        words = fmt::format("secondary port of {} by the differences of {}, half-cosine between", source.of,
                            file);
        break;
    case Kind::curve:
        words = "curve of " + file;
        break;
    case Kind::none:
        words = "no tide";
        break;
    }
    return (source.name.empty() ? "" : source.name + ": ") + words + "; metres above " + datum;
}

std::vector<TideOfPlan> read_tides(const plan::Plan& plan, Instant from, Instant to) {
    std::vector<TideOfPlan> tides;
    for (const plan::TideSource& source : plan.tides) {
        Source read = read_source(plan, source, from, to);
        TideOfPlan& out = tides.emplace_back();
        out.station.name = source.name;
        out.station.position = source.position;
        out.station.zone = source.zone;
        out.station.secondary = source.kind == Kind::secondary;
        out.station.datums = datums_of(plan, source, read.datum);
        out.words = words_of(source, out.station.datums);
        out.notes = read.prediction.notes;
        out.station.prediction = std::move(read.prediction);
        const std::string weather = tide::weather_words(plan.weather);
        if (weather.empty())
            continue;
        if (source.weather_included) {
            out.notes.push_back("its heights hold the weather already: pressure and surge are not added");
        } else {
            auto& curve = out.station.prediction.curve;
            curve = tide::with_weather(curve, plan.weather);
            out.words += "; " + weather;
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

tide::Land land_of(const hazard::Hazards& hazards) {
    tide::Land land;
    for (const hazard::Hazard& h : hazards.all)
        if (h.object.cls == "LNDARE" && !h.steps.empty() && h.steps.front().extent &&
            h.steps.front().extent->kind() == geo::ShapeKind::area)
            land.push_back(h.steps.front().extent);
    return land;
}

std::vector<std::string> span_notes(const plan::Plan& plan, const plan::TideSource& source, double offset_m,
                                    Instant from, Instant to) {
    if (source.kind == Kind::fixed)
        return {};
    const bool shifted = !source.weather_included && !tide::weather_words(plan.weather).empty();
    const std::string remark = shifted ? ", before pressure and surge" : "";
    const int first = day_of(from).year, last = day_of(to).year;
    if (!is_for_all_years(plan, source))
        return own_span(read_source(plan, source, from, to).prediction.curve, offset_m, remark);
    tide::Summary s;
    if (source.kind == Kind::harmonic) {
        s = tide::summarise(tide::read_constants(source.constants), source.mean_level_m, offset_m, first,
                            last);
    } else {
        // A margin on either side that the years 1900 and 2100 themselves have not.
        const Instant begin = start_of({std::max(first, 1901), 1, 1}),
                      end = start_of({std::min(last, 2099) + 1, 1, 1});
        s = tide::summarise(read_source(plan, source, begin, end).prediction.curve, offset_m, begin, end);
    }
    std::vector<std::string> notes{fmt::format("lowest {:.2f} m, mean {:.2f} m, highest {:.2f} m in {}{}",
                                               s.lowest.metres(), s.mean.metres(), s.highest.metres(),
                                               years(s), remark)};
    notes.insert(notes.end(), s.warnings.begin(), s.warnings.end());
    return notes;
}

} // namespace dangerline::jobs
