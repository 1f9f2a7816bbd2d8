#include "plan/read_drift.hpp"

#include <algorithm>
#include <stdexcept>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "plan/read_tide.hpp"
#include "plan/words.hpp"

namespace dangerline::plan {

namespace {

constexpr double fastest_kn = 80.0;
constexpr double table_winds_kn[] = {10.0, 15.0, 20.0, 25.0}; // assumption of this project

void read_boat(const Section& section, DriftAsked& out, std::vector<std::string>& assumptions) {
    const auto percent = section.number("leeway_percent", {0.0, 30.0, "percent of the wind", true});
    const auto name = section.text("boat");
    if (percent && name)
        section.refuse("boat", "a kind of boat and a leeway of its own", "one of boat and leeway_percent");
    const auto offset = section.number("leeway_offset_kn", {-1.0, 2.0, "knots"});
    const auto divergence = section.number("divergence_deg", {0.0, 90.0, "degrees"});
    if (!percent && (offset || divergence))
        section.refuse(offset ? "leeway_offset_kn" : "divergence_deg",
                       "belongs to a leeway of the boat's own", "leeway_percent beside it");
    if (percent) {
        out.own = drift::Leeway{*percent / 100.0, offset.value_or(0.0) * mps_per_knot,
                                divergence.value_or(drift::default_divergence_deg)};
        if (!divergence)
            assumptions.push_back(fmt::format("drift: falls off {:.0f} degrees to either side of the wind",
                                              drift::default_divergence_deg));
        return;
    }
    if (!name) {
        assumptions.push_back(
            fmt::format("drift: leeway of the kinds \"{}\" and \"{}\", the shorter time counts",
                        drift::slow_default, drift::fast_default));
        return;
    }
    std::vector<std::string> known;
    for (const auto& row : drift::leeway_rows())
        known.emplace_back(row.name);
    if (!drift::leeway_row(*name))
        section.refuse("boat", "no leeway is known of " + in_quotes(*name),
                       fmt::format("one of {}; or leeway_percent", fmt::join(known, ", ")),
                       "did you mean " + nearest(*name, known) + "?");
    out.boat = *name;
}

std::optional<StatedStream> read_stated_stream(const Section& section) {
    const auto text = section.text("stream");
    if (!text)
        return std::nullopt;
    if (*text == "none")
        return StatedStream{0.0, 0.0, "no stream, as stated"};
    try {
        const Wind parsed = parse_wind(*text); // the same words, but named by where it goes
        return StatedStream{parsed.from_deg, parsed.mps, "stream setting " + *text + ", as stated"};
    } catch (const std::invalid_argument&) {
        section.refuse("stream", in_quotes(*text) + " is no stream",
                       "where it sets to, then its rate with unit, like \"NE 1.5 kn\"; or \"none\"");
    }
}

void read_errors(const Section& drift, DriftAsked& out, std::vector<std::string>& assumptions) {
    drift::Errors& e = out.errors;
    const auto section = drift.table("errors");
    std::vector<std::string> left;
    const auto take = [&](const char* key, const Range& range, double& value, double unit,
                          const char* words) {
        if (const auto given = section ? section->number(key, range) : std::nullopt)
            value = *given * unit;
        else
            left.push_back(
                fmt::format("{} {:.3g}{}", words, value / unit,
                            std::string(range.unit) == "percent" ? " %" : std::string(" ") + range.unit));
    };
    const Range percent{0.0, 100.0, "percent"}, degrees{0.0, 90.0, "degrees"};
    take("stream_percent", percent, e.stream_share, 0.01, "rate of the stream");
    take("stream_turn_deg", degrees, e.stream_turn_deg, 1.0, "its set");
    take("wind_percent", percent, e.wind_share, 0.01, "wind");
    take("wind_turn_deg", degrees, e.wind_turn_deg, 1.0, "its direction");
    take("clock_min", {0.0, 120.0, "minutes"}, e.tide_clock_s, 60.0, "clock of tide and stream");
    take("leeway_percent", percent, e.leeway_share, 0.01, "leeway");
    take("divergence_percent", percent, e.divergence_share, 0.01, "divergence");
    take("eddies_m2ps", {0.0, 100.0, "m2/s"}, e.eddies_m2ps, 1.0, "eddies");
    if (!left.empty())
        assumptions.push_back(fmt::format("drift: each boat keeps errors of one standard deviation: {}",
                                          fmt::join(left, ", ")));
}

void read_amount(const Section& section, DriftAsked& out, std::vector<std::string>& assumptions) {
    if (const auto hours = section.number("hours", {0.0, 48.0, "hours", true}))
        out.lasts_s = *hours * 3600.0;
    else
        assumptions.push_back(fmt::format("drift: looked at for {:.0f} hours", out.lasts_s / 3600.0));
    if (const auto count = section.whole_number("particles", 20, 100'000))
        out.particles = static_cast<std::uint32_t>(*count);
    if (const auto seed = section.whole_number("seed", 0, 2'000'000'000))
        out.seed = static_cast<std::uint64_t>(*seed);
    if (const auto miles = section.number("within_nm", {0.5, 25.0, "nautical miles"}))
        out.within_m = *miles * metres_per_nautical_mile;
    else
        assumptions.push_back(fmt::format("drift: looked at as far as {:.0f} NM around",
                                          out.within_m / metres_per_nautical_mile));
    for (const double kn : section.numbers("table_kn", {0.0, 100.0, "knots"}))
        out.table_mps.push_back(kn * mps_per_knot);
    if (out.table_mps.empty())
        for (const double kn : table_winds_kn)
            out.table_mps.push_back(kn * mps_per_knot);
}

void read_winds(const Section& section, DriftAsked& out) {
    if (section.has("wind_series"))
        out.wind_series = section.needed_path("wind_series");
    if (section.has("wind_forecast"))
        out.wind_forecast = section.needed_path("wind_forecast");
    if (!out.wind_series.empty() && !out.wind_forecast.empty())
        section.refuse("wind_forecast", "a series and a forecast of wind", "one of them");
    const auto height = section.number("wind_height_m", {1.0, 100.0, "metres"});
    if (height && out.wind_series.empty())
        section.refuse("wind_height_m", "only a series has a height of its own", "wind_series beside it");
    out.wind_height_m = height.value_or(out.wind_height_m);
}

SecondMeans read_second(const Section& section) {
    SecondMeans out;
    out.line = section.line();
    const std::string kind = section.needed_text("kind", "\"engine\", \"oars\" or \"drogue\"");
    if (kind != "engine" && kind != "oars" && kind != "drogue")
        section.refuse("kind", "unknown kind " + in_quotes(kind), "\"engine\", \"oars\" or \"drogue\"");
    out.kind = kind == "engine" ? SecondMeans::Kind::engine
               : kind == "oars" ? SecondMeans::Kind::oars
                                : SecondMeans::Kind::drogue;
    if (out.kind == SecondMeans::Kind::drogue) {
        const double left = section.needed_number("leeway_left_percent", {0.0, 100.0, "percent"});
        out.leeway_share = left / 100.0;
        return out;
    }
    const auto speed = section.speed("speed", fastest_kn);
    if (!speed || !(speed->mps > 0.0))
        section.refuse("speed", "required key is missing or 0", speed_examples);
    out.mps = speed->mps;
    out.seconds = 60.0 * section.needed_number("minutes", {0.0, 2880.0, "minutes", true});
    return out;
}

} // namespace

const char* to_text(SecondMeans::Kind kind) {
    switch (kind) {
    case SecondMeans::Kind::engine:
        return "second engine";
    case SecondMeans::Kind::oars:
        return "oars";
    case SecondMeans::Kind::drogue:
        return "drogue";
    }
    return "";
}

DriftAsked read_drift(const Section& head, std::vector<std::string>& assumptions) {
    const TomlValue nothing;
    const std::filesystem::path no_file;
    const auto given = head.table("drift");
    const Section section = given ? *given : Section(no_file, nothing, "drift");
    DriftAsked out;
    read_boat(section, out, assumptions);
    read_amount(section, out, assumptions);
    read_winds(section, out);
    out.stream = read_stated_stream(section);
    read_errors(section, out, assumptions);
    return out;
}

std::vector<SecondMeans> read_second_means(const Section& head) {
    std::vector<SecondMeans> out;
    for (const Section& section : head.tables("second"))
        out.push_back(read_second(section));
    return out;
}

std::vector<HelperEntry> read_helpers(const Section& head, std::vector<std::string>& assumptions) {
    std::vector<HelperEntry> out;
    for (const Section& section : head.tables("helper")) {
        HelperEntry& helper = out.emplace_back();
        helper.line = section.line();
        helper.name = section.needed_text("name", "who comes");
        const TomlValue* const position = section.find("position");
        if (!position)
            section.refuse("position", "required key is missing",
                           "longitude and latitude, like [-27.88, 46.05]");
        helper.position = read_position(section, "position", *position);
        const auto speed = section.speed("speed", fastest_kn);
        if (!speed || !(speed->mps > 0.0))
            section.refuse("speed", "required key is missing or 0", speed_examples);
        helper.mps = speed->mps;
        const Range minutes{0.0, 720.0, "minutes"};
        const auto alarm = section.number("alarm_min", minutes),
                   muster = section.number("muster_min", minutes);
        helper.alarm_s = alarm ? *alarm * 60.0 : helper.alarm_s;
        helper.muster_s = muster ? *muster * 60.0 : helper.muster_s;
        if (!alarm || !muster)
            assumptions.push_back(
                fmt::format("help: {} knows after {:.0f} min and is under way {:.0f} min later", helper.name,
                            helper.alarm_s / 60.0, helper.muster_s / 60.0));
    }
    return out;
}

} // namespace dangerline::plan
