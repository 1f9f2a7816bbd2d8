#include "jobs/tide_source.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/tide/datum.hpp"
#include "dangerline/tide/harmonic.hpp"
#include "dangerline/tide/summary.hpp"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

using Kind = plan::TideSource::Kind;

std::string years_of(const tide::Summary& s) {
    return s.first_year == s.last_year ? std::to_string(s.first_year)
                                       : fmt::format("{} to {}", s.first_year, s.last_year);
}

/// Whether the tide can be reckoned for any year.
bool is_for_all_years(const plan::Plan& plan, const plan::TideSource& source) {
    return source.kind == Kind::harmonic ||
           (source.kind == Kind::secondary && tide_named(plan, source.of).kind == Kind::harmonic);
}

tide::Summary summary_of(const plan::Plan& plan, const plan::TideSource& source, double offset_m,
                         Instant from, Instant to) {
    const int first = day_of(from).year, last = day_of(to).year;
    if (source.kind == Kind::harmonic)
        return tide::summarise(tide::read_constants(source.constants), source.mean_level_m, offset_m, first,
                               last);
    // The years 1900 and 2100 have no margin on either side, which differences need.
    const Instant begin = start_of({std::max(first, 1901), 1, 1});
    const Instant end = start_of({std::min(last, 2099) + 1, 1, 1});
    return tide::summarise(prediction_of(plan, source, begin, end).curve, offset_m, begin, end);
}

/// What a file holds.
std::string own_span(const tide::Curve& curve, double offset_m, const std::string& above) {
    constexpr double infinity = std::numeric_limits<double>::infinity();
    double lowest = infinity, highest = -infinity;
    for (const tide::Piece& piece : curve.pieces()) {
        lowest = std::min(lowest, curve.lowest(piece.start, piece.end()).value().height.metres());
        highest = std::max(highest, curve.highest(piece.start, piece.end()).value().height.metres());
    }
    if (lowest > highest)
        return "tide: no height is known at any time";
    return fmt::format("tide from {} to {} above {}: lowest {:.2f} m, highest {:.2f} m",
                       to_iso_utc(curve.valid_from()), to_iso_utc(curve.valid_to()), above, lowest + offset_m,
                       highest + offset_m);
}

std::string kind_words(const plan::TideSource& source, const std::string& above) {
    const auto file = source.file.filename().string();
    switch (source.kind) {
    case Kind::fixed:
        return fmt::format(
            "fixed height {:.2f} m {}, one for the whole time and not checked against any tide",
            source.height_m, above);
    case Kind::harmonic:
        return fmt::format("harmonic prediction from {}, mean level {:.2f} m {}",
                           source.constants.filename().string(), source.mean_level_m, above);
    case Kind::table:
        return fmt::format("high and low waters of {} {}, half-cosine between", file, above);
    case Kind::secondary:
        return fmt::format("secondary port of {} by the differences of {} {}, half-cosine between", source.of,
                           file, above);
    case Kind::curve:
        return fmt::format("curve of {} {}", file, above);
    case Kind::none:
        break;
    }
    return "no tide";
}

} // namespace

const plan::TideSource& tide_named(const plan::Plan& plan, const std::string& name) {
    const auto at = std::find_if(plan.tides.begin(), plan.tides.end(),
                                 [&](const plan::TideSource& t) { return t.name == name; });
    if (at == plan.tides.end())
        throw Failure(Fault::plan, {.file = plan.file.string(),
                                    .object = "tide",
                                    .what = "no tide of this plan is named \"" + name + "\""});
    return *at;
}

bool holds_weather(const plan::Plan& plan, const plan::TideSource& source) {
    return source.weather_included ||
           (source.kind == Kind::secondary && tide_named(plan, source.of).weather_included);
}

std::string tide_words(const plan::Plan& plan, const plan::TideSource& source,
                       const tide::DatumChain& datums) {
    const auto& code = datums.source_code;
    const std::string above = code ? "above " + tide::datum_text(*code) : "above an unstated datum";
    const std::string weather = holds_weather(plan, source) ? "" : tide::weather_words(plan.weather);
    return (source.name.empty() ? "" : source.name + ": ") + kind_words(source, above) +
           (weather.empty() ? "" : "; " + weather);
}

std::string tide_words(const plan::Plan& plan) {
    std::string words;
    for (const plan::TideSource& source : plan.tides)
        if (!source.standard_port_only())
            words += (words.empty() ? "" : " | ") + tide_words(plan, source, source.datums);
    return words;
}

std::string tide_distrust(const plan::Plan& plan, const plan::TideSource& source) {
    if (source.kind == Kind::secondary)
        return tide_distrust(plan, tide_named(plan, source.of));
    if (source.kind != Kind::harmonic)
        return {};
    const auto constants = tide::read_constants(source.constants);
    std::string missing;
    for (const char* name : {"M2", "S2", "K1", "O1"})
        if (!constants.amplitude_m(name))
            missing += (missing.empty() ? "" : ", ") + std::string(name);
    return missing.empty() ? "" : fmt::format("{} lacks {}", source.constants.filename().string(), missing);
}

std::string tide_distrust(const plan::Plan& plan) {
    for (const plan::TideSource& source : plan.tides)
        if (std::string reason = tide_distrust(plan, source); !reason.empty())
            return reason;
    return {};
}

TideNotes tide_notes(const plan::Plan& plan, const plan::TideSource& source, std::optional<double> offset_m,
                     const std::string& above, Instant from, Instant to) {
    TideNotes notes;
    if (source.kind == Kind::fixed || source.kind == Kind::none || !offset_m)
        return notes;
    const bool shifted = !holds_weather(plan, source) && !tide::weather_words(plan.weather).empty();
    const std::string remark = shifted ? ", before pressure and surge" : "";
    if (!is_for_all_years(plan, source)) {
        notes.lines.push_back(own_span(prediction_of(plan, source, from, to).curve, *offset_m, above) +
                              remark);
        return notes;
    }
    const auto s = summary_of(plan, source, *offset_m, from, to);
    notes.lines.push_back(
        fmt::format("tide of {} above {}: lowest {:.2f} m, mean {:.2f} m, highest {:.2f} m{}", years_of(s),
                    above, s.lowest.metres(), s.mean.metres(), s.highest.metres(), remark));
    notes.warnings = s.warnings;
    return notes;
}

TideNotes tide_notes(const plan::Plan& plan, std::optional<double> offset_m, const std::string& above,
                     Instant from, Instant to) {
    return tide_notes(plan, plan.tides.at(0), offset_m, above, from, to);
}

} // namespace dangerline::jobs
