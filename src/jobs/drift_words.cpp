#include "jobs/drift_words.hpp"

#include <cmath>

#include <fmt/format.h>

#include "jobs/drift_scene.hpp"

namespace dangerline::jobs {

namespace {

using drift::Outcome;

std::string share_words(double share) {
    const double percent = 100.0 * share;
    if (percent > 0.0 && percent < 1.0)
        return "under 1 %";
    if (percent < 100.0 && percent > 99.0)
        return "over 99 %";
    return fmt::format("{:.0f} %", percent);
}

std::string first_sentence(const drift::Summary& s, double lasts_s) {
    if (!std::isfinite(s.zone.early_s) && !std::isfinite(s.trouble.early_s))
        return fmt::format("Fewer than one run in twenty meets a charted danger within {}; nothing else was "
                           "found by these checks.",
                           minutes_words(lasts_s));
    if (!std::isfinite(s.zone.early_s))
        return fmt::format(
            "What it would meet can't be said: one run in twenty leaves what is known within {}, "
            "half within {}.",
            minutes_words(s.trouble.early_s),
            std::isfinite(s.trouble.median_s) ? minutes_words(s.trouble.median_s)
                                              : "more than " + minutes_words(lasts_s));
    std::string text =
        std::isfinite(s.zone.median_s)
            ? fmt::format("In half the runs in a danger zone after {}, earliest (one in twenty) {}",
                          minutes_words(s.zone.median_s), minutes_words(s.zone.early_s))
            : fmt::format("Fewer than half the runs come into a danger zone within {}; the "
                          "earliest after {}",
                          minutes_words(lasts_s), minutes_words(s.zone.early_s));
    if (std::isfinite(s.touch.median_s))
        text += fmt::format("; touching after {}", minutes_words(s.touch.median_s));
    else if (s.touched_share > 0.0)
        text += fmt::format("; {} touch within {}", share_words(s.touched_share), minutes_words(lasts_s));
    if (s.trouble.early_s < s.zone.early_s)
        text += fmt::format("; one run in twenty meets a danger or leaves what is known within {}",
                            minutes_words(s.trouble.early_s));
    return text + ".";
}

std::string outcome_sentence(const Outcome& o, const std::vector<DriftHazard>& hazards) {
    switch (o.kind) {
    case Outcome::Kind::danger:
        return fmt::format(
            "{}: {}, the middle one after {}, earliest {}{}.", share_words(o.share),
            hazards[o.hazard.value()].label, minutes_words(o.median_s), minutes_words(o.early_s),
            o.touched_share > 0.0 ? fmt::format("; {} touch", share_words(o.touched_share)) : std::string());
    case Outcome::Kind::unknown:
        return fmt::format("{}: unknown ({}{}), the middle one after {}.", share_words(o.share),
                           drift::to_text(o.end), o.hazard ? ": " + hazards[*o.hazard].label : std::string(),
                           minutes_words(o.median_s));
    case Outcome::Kind::afloat:
        return fmt::format("{}: afloat after {}, nothing found by these checks.", share_words(o.share),
                           minutes_words(o.median_s));
    }
    return {};
}

std::string aground_sentence(const drift::Aground& a, const std::vector<DriftHazard>& hazards,
                             const plan::Plan& plan) {
    const std::string sea =
        plan.margins.waves_given
            ? fmt::format("waves of {:.1f} m there as in the plan; they are higher and break "
                          "in shoal water",
                          wave_height_m(plan))
            : "no waves are stated: the sea there is not known";
    std::string after;
    if (a.at_any_tide)
        after = "no tide floats it off";
    else if (a.until)
        after = fmt::format("aground until the tide is back at {}", plan.zone.clock(*a.until));
    else
        after = "aground longer than was looked at";
    return fmt::format("Of those that touch most touch {}, about {}, on a {} tide: {}; {}.",
                       hazards[a.hazard].label, plan.zone.clock(a.touched),
                       !a.falling   ? "unknown"
                       : *a.falling ? "falling"
                                    : "rising",
                       after, sea);
}

} // namespace

std::vector<std::string> drift_sentences(const DriftedBoat& boat, const std::vector<DriftHazard>& hazards,
                                         const plan::Plan& plan, double lasts_s) {
    constexpr std::size_t listed = 5;
    std::vector<std::string> out{first_sentence(boat.summary, lasts_s)};
    std::size_t dangers = 0;
    double folded = 0.0;
    std::size_t folded_count = 0;
    for (const auto& o : boat.summary.outcomes)
        if (o.kind == Outcome::Kind::danger && ++dangers > listed) {
            folded += o.share;
            ++folded_count;
        } else {
            out.push_back(outcome_sentence(o, hazards));
        }
    if (folded_count > 0)
        out.push_back(fmt::format("{}: {} other dangers.", share_words(folded), folded_count));
    if (boat.summary.aground)
        out.push_back(aground_sentence(*boat.summary.aground, hazards, plan));
    return out;
}

} // namespace dangerline::jobs
