#include "jobs/drift_words.hpp"

#include <cmath>

#include <fmt/format.h>

#include "dangerline/geo/position.hpp"
#include "jobs/drift_scene.hpp"

namespace dangerline::jobs {

namespace {

using drift::Outcome;

/// Where most of those who meet it come into its zone together: "0.9 NM to 262°".
std::string where_words(std::size_t hazard, const drift::Summary& s, const DriftedMark& mark,
                        const DriftReport& report) {
    for (const auto& cluster : s.clusters)
        if (cluster.hazard == hazard) {
            const auto course = geo::geodesic_between(mark.position, report.plane.to_position(cluster.place));
            if (course.metres < 0.005 * metres_per_nautical_mile)
                return "at the mark";
            return fmt::format("{:.2f} NM to {:03.0f}°", course.metres / metres_per_nautical_mile,
                               std::fmod(std::round(course.start_deg), 360.0));
        }
    return {};
}

/// When boats come into danger zones; some of them at least one in twenty.
std::string zone_words(const drift::Summary& s, const std::string& which, const std::string& lasts) {
    const bool half = std::isfinite(s.zone.median_s);
    if (s.zone.early_s <= 0.0) {
        const std::string here = fmt::format("The mark itself lies within a danger zone{}", which);
        return half && s.zone.median_s <= 0.0 ? here
               : half ? fmt::format("{} in one run in twenty or more; half the runs are in one after {}",
                                    here, minutes_words(s.zone.median_s))
                      : fmt::format("{} in one run in twenty or more; fewer than half the runs come into one "
                                    "within {}",
                                    here, lasts);
    }
    return half ? fmt::format("In half the runs in a danger zone{} after {}, earliest (one in twenty) {}",
                              which, minutes_words(s.zone.median_s), minutes_words(s.zone.early_s))
                : fmt::format("Fewer than half the runs come into a danger zone{} within {}; the "
                              "earliest (one in twenty) after {}",
                              which, lasts, minutes_words(s.zone.early_s));
}

/// Another danger that a few meet before the minutes in hand are over; empty for none.
std::string sooner_words(const drift::Summary& s, const DriftReport& report) {
    const Outcome* first = nullptr;
    for (const auto& o : s.outcomes)
        if (o.kind == Outcome::Kind::danger && (!first || o.first_s < first->first_s))
            first = &o;
    if (!first || first->hazard == s.soonest || !std::isfinite(s.trouble.early_s) ||
        std::floor(first->first_s / 60.0) >= std::floor(s.trouble.early_s / 60.0))
        return {};
    return fmt::format(" Sooner, but in fewer than one run in twenty: {}, the first after {}.",
                       report.hazards[*first->hazard].label, minutes_words(first->first_s));
}

std::string first_sentence(const drift::Summary& s, const DriftReport& report) {
    const double lasts_s = report.plan.drift.lasts_s;
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
    // Dangers come first, the commonest before others.
    const auto& most = s.outcomes.front();
    const std::string which = most.kind == Outcome::Kind::danger
                                  ? fmt::format(" (most often of {})", report.hazards[*most.hazard].label)
                                  : std::string();
    std::string text = zone_words(s, which, minutes_words(lasts_s));
    if (std::isfinite(s.touch.median_s))
        text += fmt::format("; touching after {}", minutes_words(s.touch.median_s));
    else if (s.touched_share > 0.0)
        text += fmt::format("; {} touch within {}", share_words(s.touched_share), minutes_words(lasts_s));
    if (s.trouble.early_s < s.zone.early_s)
        text += fmt::format("; one run in twenty meets a danger or leaves what is known within {}",
                            minutes_words(s.trouble.early_s));
    return text + ".";
}

std::string first_words(const Outcome& o) {
    return o.first_s <= 0.0 ? "some at once: the mark itself lies within its zone"
                            : "the first of them after " + minutes_words(o.first_s);
}

std::string outcome_sentence(const Outcome& o, const drift::Summary& s, const DriftedMark& mark,
                             const DriftReport& report) {
    switch (o.kind) {
    case Outcome::Kind::danger:
        return fmt::format(
            "{}: {}, {}{}.", share_words(o.share), told(report.hazards[o.hazard.value()], o.moved_m),
            o.median_s <= 0.0
                ? "the mark itself lies within its zone"
                : fmt::format("{}, the middle one after {}, {}", where_words(*o.hazard, s, mark, report),
                              minutes_words(o.median_s), first_words(o)),
            o.touched_share > 0.0 ? fmt::format("; {} touch", share_words(o.touched_share)) : std::string());
    case Outcome::Kind::unknown:
        return fmt::format("{}: unknown ({}){}.", share_words(o.share),
                           why_words(o.end, o.hazard, report.hazards),
                           o.median_s <= 0.0 ? " at the mark itself"
                                             : ", the middle one after " + minutes_words(o.median_s));
    case Outcome::Kind::afloat:
        return fmt::format("{}: afloat after {}, nothing found by these checks.", share_words(o.share),
                           minutes_words(o.median_s));
    }
    return {};
}

std::string aground_sentence(const drift::Aground& a, const DriftReport& report) {
    const plan::Plan& plan = report.plan;
    const std::string sea =
        plan.margins.waves_given
            ? fmt::format("waves of {:.1f} m there as in the plan; they are higher and break "
                          "in shoal water",
                          wave_height_m(plan))
            : "no waves are stated: the sea there is not known";
    const auto when = [&](Instant t) {
        return plan.zone.to_text(t).substr(0, 10) == plan.zone.to_text(a.touched).substr(0, 10)
                   ? plan.zone.clock(t)
                   : plan.zone.to_text(t);
    };
    std::string after;
    if (a.at_any_tide)
        after = "no tide floats it off";
    else if (a.until)
        after = fmt::format("aground until the tide is back at {}", when(*a.until));
    else
        after = fmt::format("still aground at {}, as far as the tide was followed", when(a.followed_to));
    return fmt::format("Of those that touch most ({} of all) touch {}, about {}, on a {} tide: {}; {}.",
                       share_words(a.share), report.hazards[a.hazard].label, plan.zone.clock(a.touched),
                       !a.falling   ? "unknown"
                       : *a.falling ? "falling"
                                    : "rising",
                       after, sea);
}

} // namespace

std::string share_words(double share) {
    const double percent = 100.0 * share;
    if (percent > 0.0 && percent < 1.0)
        return "under 1 %";
    if (percent < 100.0 && percent > 99.0)
        return "over 99 %";
    return fmt::format("{:.0f} %", percent);
}

std::string told(const DriftHazard& hazard, double moved_m) {
    return moved_m > 0.0 ? fmt::format("{} (its bottom moves: the zone is {:.0f} m wider there)",
                                       hazard.label, std::ceil(moved_m))
                         : hazard.label;
}

std::string why_words(drift::End end, const std::optional<std::size_t>& water,
                      const std::vector<DriftHazard>& hazards) {
    return water ? hazards[*water].label : drift::to_text(end);
}

std::vector<std::string> drift_sentences(const DriftedBoat& boat, const DriftedMark& mark,
                                         const DriftReport& report) {
    constexpr std::size_t listed = 5;
    std::vector<std::string> out{first_sentence(boat.summary, report) + sooner_words(boat.summary, report)};
    std::size_t dangers = 0;
    double folded = 0.0;
    std::size_t folded_count = 0;
    for (const auto& o : boat.summary.outcomes)
        if (o.kind == Outcome::Kind::danger && ++dangers > listed) {
            folded += o.share;
            ++folded_count;
        } else {
            out.push_back(outcome_sentence(o, boat.summary, mark, report));
        }
    if (folded_count > 0)
        out.push_back(fmt::format("{}: {} other {}.", share_words(folded), folded_count,
                                  folded_count == 1 ? "danger" : "dangers"));
    if (boat.summary.aground)
        out.push_back(aground_sentence(*boat.summary.aground, report));
    return out;
}

} // namespace dangerline::jobs
