#include "jobs/tide_source.hpp"

#include "dangerline/tide/datum.hpp"
#include "dangerline/tide/harmonic.hpp"
#include "dangerline/tide/summary.hpp"

#include <fmt/format.h>

namespace dangerline::jobs {

std::string tide_words(const plan::Plan& plan) {
    const auto& source = plan.tide.datums.source_code;
    const std::string datum = source ? "above " + tide::datum_text(*source) : "above an unstated datum";
    if (plan.tide.kind == plan::TideSource::Kind::fixed)
        return fmt::format(
            "fixed height {:.2f} m {}, one for the whole time and not checked against any tide",
            plan.tide.height_m, datum);
    return fmt::format("harmonic prediction from {}, mean level {:.2f} m {}",
                       plan.tide.constants.filename().string(), plan.tide.mean_level_m, datum);
}

std::string tide_distrust(const plan::Plan& plan) {
    if (plan.tide.kind != plan::TideSource::Kind::harmonic)
        return {};
    const auto constants = tide::read_constants(plan.tide.constants);
    std::string missing;
    for (const char* name : {"M2", "S2", "K1", "O1"})
        if (!constants.amplitude_m(name))
            missing += (missing.empty() ? "" : ", ") + std::string(name);
    return missing.empty() ? ""
                           : fmt::format("{} lacks {}", plan.tide.constants.filename().string(), missing);
}

TideNotes tide_notes(const plan::Plan& plan, std::optional<double> offset_m, const std::string& above,
                     Instant from, Instant to) {
    TideNotes notes;
    if (plan.tide.kind != plan::TideSource::Kind::harmonic || !offset_m)
        return notes;
    const auto s = tide::summarise(tide::read_constants(plan.tide.constants), plan.tide.mean_level_m,
                                   *offset_m, day_of(from).year, day_of(to).year);
    const std::string years = s.first_year == s.last_year
                                  ? std::to_string(s.first_year)
                                  : fmt::format("{} to {}", s.first_year, s.last_year);
    notes.lines.push_back(fmt::format("tide of {} above {}: lowest {:.2f} m, mean {:.2f} m, highest {:.2f} m",
                                      years, above, s.lowest.metres(), s.mean.metres(), s.highest.metres()));
    notes.warnings = s.warnings;
    return notes;
}

} // namespace dangerline::jobs
