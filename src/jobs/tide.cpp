#include "dangerline/jobs/tide.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/load.hpp"
#include "jobs/tide_source.hpp"

#include <cmath>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

Instant parse(const plan::Plan& plan, const std::string& option, const std::string& text) {
    try {
        return plan.zone.parse(text);
    } catch (const std::invalid_argument& wrong) {
        throw Failure(Fault::command_line, {.object = option, .what = wrong.what()});
    }
}

} // namespace

TideReport run_tide(const plan::Plan& plan, const std::string& from_text, const std::string& to_text,
                    double step_s) {
    const Instant from = parse(plan, "--from", from_text), to = parse(plan, "--to", to_text);
    constexpr double longest_s = 400.0 * 86400.0;
    constexpr double most_rows = 100'000.0;
    if (to < from || to - from > longest_s)
        throw Failure(Fault::command_line,
                      {.object = "--to",
                       .what = to < from ? "it lies before --from" : "more than 400 days",
                       .expected = "a time after --from, at most 400 days later"});
    if (!(step_s >= 1.0) || (to - from) / step_s > most_rows)
        throw Failure(
            Fault::command_line,
            {.object = "--every", .what = "too many heights or none", .expected = "1 minute or more"});
    // A day either side, so that an extreme at the very end is seen as one.
    constexpr double day_s = 86400.0;
    const tide::Curve curve = tide_of(plan, from - day_s, to + day_s);
    TideReport report{plan, tide_words(plan), {}, {}, {}};
    for (int i = 0; from + i * step_s <= to; ++i) {
        const auto height = curve.height(from + i * step_s);
        report.heights.push_back(
            {from + i * step_s, height ? std::optional(height->metres()) : std::nullopt});
    }
    report.extremes = curve.extremes(from - 1.0, to + 1.0);
    auto notes = tide_notes(plan, 0.0, "its own datum", from, to);
    report.warnings = std::move(notes.lines);
    report.warnings.insert(report.warnings.end(), notes.warnings.begin(), notes.warnings.end());
    if (const std::string distrust = tide_distrust(plan); !distrust.empty())
        report.warnings.push_back("this tide can't be relied on: " + distrust);
    return report;
}

} // namespace dangerline::jobs
