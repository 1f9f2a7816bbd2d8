#include "dangerline/jobs/tide.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/load.hpp"
#include "dangerline/tide/summary.hpp"

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
    TideReport report{plan, {}, {}, {}, {}};
    const auto& source = plan.tide.datums.source_code;
    const std::string datum = source ? tide::datum_text(*source) : "an unstated datum";
    report.source = plan.tide.kind == plan::TideSource::Kind::fixed
                        ? fmt::format("fixed height; metres above {}", datum)
                        : fmt::format("harmonic prediction from {}, mean level {:.2f} m; metres above {}",
                                      plan.tide.constants.filename().string(), plan.tide.mean_level_m, datum);
    for (int i = 0; from + i * step_s <= to; ++i) {
        const auto height = curve.height(from + i * step_s);
        report.heights.push_back(
            {from + i * step_s, height ? std::optional(height->metres()) : std::nullopt});
    }
    report.extremes = curve.extremes(from - 1.0, to + 1.0);
    if (plan.tide.kind == plan::TideSource::Kind::harmonic) {
        const auto s = tide::summarise(tide::read_constants(plan.tide.constants), plan.tide.mean_level_m, 0.0,
                                       day_of(from).year, day_of(to).year);
        report.warnings.push_back(fmt::format("lowest {:.2f} m, mean {:.2f} m, highest {:.2f} m in {}",
                                              s.lowest.metres(), s.mean.metres(), s.highest.metres(),
                                              s.first_year == s.last_year
                                                  ? std::to_string(s.first_year)
                                                  : fmt::format("{}-{}", s.first_year, s.last_year)));
        report.warnings.insert(report.warnings.end(), s.warnings.begin(), s.warnings.end());
    }
    return report;
}

} // namespace dangerline::jobs
