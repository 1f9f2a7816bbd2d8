#include "jobs/breakdown_words.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "jobs/drift_scene.hpp"
#include "jobs/drift_words.hpp"

namespace dangerline::jobs {

namespace {

double miles(double metres) {
    return metres / metres_per_nautical_mile;
}

/// Rounded up: help takes never less than is told.
std::string help_words(double seconds) {
    return minutes_words(60.0 * std::ceil(seconds / 60.0));
}

std::string half_words(const BreakdownPoint& p, double lasts_s) {
    return std::isfinite(p.median_s) ? "after " + minutes_words(p.median_s)
                                     : "not within " + minutes_words(lasts_s);
}

std::string least_sentence(const BreakdownPoint& p, const DriftReport& base) {
    const std::string then = p.hazard ? " before " + told(base.hazards[*p.hazard], p.moved_m)
                                      : ", then nothing is known (" + p.why + ")";
    return fmt::format(
        "Least time: {:.2f} NM from the start at {}: {} in hand{}, half the runs {} (as \"{}\").", miles(p.s),
        base.plan.zone.clock(p.at), minutes_words(p.early_s), then, half_words(p, base.plan.drift.lasts_s),
        p.boat);
}

std::string help_sentence(const HelpTime& help, const BreakdownPoint& p) {
    const double late_s = help.seconds - p.early_s;
    return fmt::format("Help from {}: {} ({:.1f} NM in a straight line), {}.", help.name,
                       help_words(help.seconds), miles(help.metres),
                       late_s > 0.0 ? help_words(late_s) + " too late for the earliest"
                                    : minutes_words(-late_s) + " before the earliest");
}

std::string second_sentence(const SecondTried& second, const BrokenRoute& route, const BreakdownPoint& p,
                            double lasts_s) {
    return fmt::format(
        "With {}{}: {} in hand instead of {}{}.", second.means,
        second.heading_deg ? fmt::format(", heading {:03.0f}° at best", *second.heading_deg) : "",
        std::isfinite(second.early_s) ? minutes_words(second.early_s) : "over " + minutes_words(lasts_s),
        minutes_words(p.early_s),
        route.help.empty()
            ? std::string()
            : fmt::format("; the soonest help takes {}", help_words(route.help.front().seconds)));
}

/// The point with the least time, the stretch it lies on, and what there is against it.
void say_least(BrokenRoute& route, const DriftReport& base) {
    auto& out = route.sentences;
    const double lasts_s = base.plan.drift.lasts_s;
    if (!route.least) {
        out.push_back("Wherever the engine stops on this route the boat is in a danger zone, or where "
                      "nothing is known, already.");
        return;
    }
    const BreakdownPoint& p = route.points[*route.least];
    if (!std::isfinite(p.early_s)) {
        const bool everywhere = std::none_of(route.stretches.begin(), route.stretches.end(),
                                             [](const auto& stretch) { return stretch.band == 0; });
        out.push_back(fmt::format(
            "{}, fewer than one run in twenty meets a charted danger within {}; nothing "
            "else was found by these checks.",
            everywhere ? "Wherever the engine stops" : "Where the engine stops with any time in hand at all",
            minutes_words(lasts_s)));
        return;
    }
    out.push_back(least_sentence(p, base));
    for (const auto& stretch : route.stretches)
        if (stretch.least == *route.least)
            out.push_back(fmt::format("It lies on the stretch from {:.2f} to {:.2f} NM, {} in hand.",
                                      miles(stretch.span.from), miles(stretch.span.to),
                                      band_words(stretch.band)));
    if (route.help.empty())
        out.push_back("No help is named in the plan: count on none.");
    for (const auto& help : route.help)
        out.push_back(help_sentence(help, p));
    for (const auto& second : route.second)
        out.push_back(second_sentence(second, route, p, lasts_s));
}

/// What comes after the least time of a stretch, if anything does.
std::string then_words(const BreakdownStretch& stretch, const BreakdownPoint& least,
                       const DriftReport& base) {
    const std::string label = least.hazard ? base.hazards[*least.hazard].label : std::string();
    if (least.early_s <= 0.0)
        return !stretch.why.empty() ? ": not known: " + stretch.why
               : !label.empty()     ? ": in the danger zone of " + label
                                    : std::string();
    if (!std::isfinite(least.early_s))
        return {};
    return fmt::format(", least {}{}", minutes_words(least.early_s),
                       !label.empty()       ? ": " + label
                       : !least.why.empty() ? ", then nothing is known: " + least.why
                                            : std::string());
}

} // namespace

std::string stretch_words(const BrokenRoute& route, const BreakdownStretch& stretch,
                          const DriftReport& base) {
    const BreakdownPoint& least = route.points[stretch.least];
    return band_words(stretch.band) + then_words(stretch, least, base) +
           (stretch.help_too_late && least.early_s > 0.0 ? "; help comes too late" : "");
}

void put_into_words(BrokenRoute& route, const DriftReport& base) {
    say_least(route, base);
    // Where nothing is known from the first second, and why.
    for (const auto& stretch : route.stretches)
        if (!stretch.why.empty())
            route.sentences.push_back(fmt::format("From {:.2f} to {:.2f} NM no time in hand is known: {}.",
                                                  miles(stretch.span.from), miles(stretch.span.to),
                                                  stretch.why));
}

} // namespace dangerline::jobs
