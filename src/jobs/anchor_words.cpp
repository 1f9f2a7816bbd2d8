#include "jobs/anchor_words.hpp"

#include <cmath>

#include <fmt/format.h>

#include "dangerline/drift/anchor_loads.hpp"
#include "jobs/anchor_ground.hpp"
#include "jobs/drift_scene.hpp"

namespace dangerline::jobs {

namespace {

using hazard::Grade;

std::string rope_sentence(const AnchorMark& mark, const plan::AnchorGear& gear) {
    const auto& line = gear.line;
    const std::string aboard =
        line.rope_m > 0.0 ? fmt::format("{:.0f} m of rope and {:.0f} m of chain", line.rope_m, line.chain_m)
                          : fmt::format("{:.0f} m of chain", line.chain_m);
    if (!mark.depth_m)
        return fmt::format("Rope: unknown whether {} is enough: {}.", aboard, mark.unknown);
    const double depth_m = *mark.depth_m;
    const bool all_chain = line.rope_m <= 0.0;
    return fmt::format(
        "Rope: {}; {} for {:.1f} m from the bottom to the bow at the highest tide is {:.1f} times "
        "the depth, {:.0f} times ({:.0f} m) would be in proportion.",
        drift::to_text(mark.word), aboard, depth_m, line.aboard_m() / depth_m,
        drift::proportion_factor(mark.sea, all_chain), drift::proportion_m(depth_m, mark.sea, all_chain));
}

std::string sea_words(const drift::AnchorSea& sea) {
    const auto part = [](const char* what, const std::optional<double>& value, const char* unit, double per) {
        return value ? fmt::format("{} {:.1f} {}", what, *value / per, unit)
                     : fmt::format("{} not known", what);
    };
    return fmt::format("{}, {}, {}{}", part("wind", sea.wind_mps, "m/s", 1.0),
                       part("stream up to", sea.stream_mps, "kn", mps_per_knot),
                       part("waves", sea.wave_m, "m", 1.0), sea.breaking ? ", breaking" : "");
}

/// "25 m off", "0 m off, inside it".
std::string where_words(double distance_m) {
    return distance_m > 0.0 ? fmt::format("{:.0f} m from the mark", distance_m) : "the mark lies in it";
}

std::string foul_sentence(const FoulNote& note) {
    const auto& foul = note.foul;
    const std::string what = named(std::string(foul.rule->what), foul.object);
    const std::string coarse = foul.coarser ? ", by a coarser chart" : "";
    switch (note.lies) {
    case Lies::in_circle:
        return fmt::format("No place to anchor: {} in the swing circle ({}{}): {}.", what,
                           where_words(foul.distance_m), coarse, foul.rule->why);
    case Lies::by_doubt:
        return fmt::format("May be no place to anchor: {} lies {} and may be {:.0f} m nearer{}: {}.", what,
                           where_words(foul.distance_m), foul.position_m, coarse, foul.rule->why);
    case Lies::beside:
        return fmt::format(
            "Beside the circle: {}, {}; {:.0f} m between its doubt and the edge: it fouls when the "
            "anchor drags so far.",
            what, where_words(foul.distance_m), note.outside_m);
    }
    return {};
}

std::string touch_sentence(const TouchNote& note) {
    const std::string what = named(note.what, note.object);
    if (note.by_survey)
        return fmt::format(
            "By the full doubt of its survey, {:.0f} m in place, the bottom in the circle may be as "
            "shoal as the {}{}.",
            note.distance_m, note.basis,
            note.water_m ? fmt::format(": {:.1f} m of water at the lowest tide", *note.water_m) : "");
    const char* verb = note.grade == Grade::danger ? "The boat swings onto" : "The boat may swing onto";
    if (!note.water_m)
        return fmt::format("{} {} ({:.0f} m from the mark): {}.", verb, what, note.distance_m, note.basis);
    return fmt::format("{} {} ({:.0f} m from the mark): {:.1f} m of water at the lowest tide; {}.", verb,
                       what, note.distance_m, *note.water_m, note.basis);
}

std::string ground_sentence(const AnchorMark& mark, const plan::AnchorGear& gear) {
    if (mark.natures.empty())
        return fmt::format("Bottom: no nature charted within {:.0f} m; holding not known.", nature_reach_m);
    const auto& nearest = mark.natures.front();
    std::string words = fmt::format("Bottom: {}", nearest.words);
    words += nearest.here
                 ? std::string(" at the mark")
                 : fmt::format(" charted {:.0f} m off (position good to {:.0f} m), the bottom at the mark "
                               "itself is not known",
                               nearest.nature.distance_m, nearest.nature.position_m);
    for (std::size_t i = 1; i < mark.natures.size(); ++i)
        if (mark.natures[i].words != nearest.words)
            words +=
                fmt::format(", {} {:.0f} m off", mark.natures[i].words, mark.natures[i].nature.distance_m);
    for (const auto& note : mark.natures)
        if (note.holding == mark.holding)
            return fmt::format("{}; {} anchor: {}, {}{}.", words, drift::to_text(gear.pattern),
                               drift::to_text(mark.holding), note.why,
                               note.source.empty() ? "" : " (" + note.source + ")");
    return words + ".";
}

std::string swing_sentence(const AnchorMark& mark) {
    if (!mark.depth_m)
        return fmt::format("Swing circle {:.0f} m: the whole rope, since the depth is not known.",
                           mark.swing_m);
    return fmt::format("Swing circle {:.0f} m around the anchor at low water with {:.0f} m let out.",
                       mark.swing_m, mark.paid_out_m);
}

std::string pull_sentence(const PullNote& pull) {
    std::string words =
        fmt::format("Cross-check: wind alone pulls with up to {:.1f} kN (ABYC H-40)", pull.load_n / 1000.0);
    if (!pull.angle_deg)
        words += ", the rope does not reach";
    else if (pull.factor)
        words += fmt::format(", {:.0f}° above the bottom, {:.0f} % of the holding left", *pull.angle_deg,
                             *pull.factor * 100.0);
    else
        words +=
            fmt::format(", {:.0f}° above the bottom, less than half of the holding left", *pull.angle_deg);
    if (pull.flat_chain_m)
        words += fmt::format(", chain lies flat from {:.0f} m on", *pull.flat_chain_m);
    if (pull.holding_n)
        words += fmt::format("; a rule for heavy anchors gives {:.1f} kN, an order of size only",
                             *pull.holding_n / 1000.0);
    return words + ".";
}

std::string deadline_sentence(const DeadlineNote& d) {
    const std::string to =
        d.danger.empty() ? fmt::format("no danger within {:.0f} m", d.distance_m)
                         : fmt::format("nearest danger {}, {:.0f} m less its doubt", d.danger, d.distance_m);
    if (std::isinf(d.decide_within_s) && d.decide_within_s < 0.0)
        return fmt::format("Engine stops here: {}; the rope does not reach the bottom.", to);
    if (d.decide_within_s < 0.0)
        return fmt::format(
            "Engine stops here: {}; at up to {:.1f} kn straight to it the anchor comes too late.", to,
            d.drift_mps / mps_per_knot);
    return fmt::format(
        "Engine stops here: {}; at up to {:.1f} kn straight to it the decision to let go must fall "
        "within {:.1f} min.",
        to, d.drift_mps / mps_per_knot, d.decide_within_s / 60.0);
}

} // namespace

const char* to_text(Lies lies) {
    switch (lies) {
    case Lies::in_circle:
        return "in_circle";
    case Lies::by_doubt:
        return "by_doubt";
    case Lies::beside:
        return "beside";
    }
    return "";
}

void put_into_words(AnchorMark& mark, const plan::Plan& plan) {
    auto& out = mark.sentences;
    const auto& gear = *plan.gear.anchor;
    for (auto& note : mark.fouls)
        note.sentence = foul_sentence(note);
    for (auto& note : mark.touches)
        out.push_back(note.sentence = touch_sentence(note));
    const auto add_fouls = [&](bool beside) {
        for (const auto& note : mark.fouls)
            if ((note.lies == Lies::beside) == beside)
                out.push_back(note.sentence);
    };
    add_fouls(false);
    for (const auto& words : mark.unknown_in_circle)
        out.push_back(fmt::format("Unknown in the swing circle: {}.", words));
    out.push_back(rope_sentence(mark, gear));
    if (mark.moved_m > 0.0)
        out.push_back(
            fmt::format("The bottom here moves, by {:.0f} m perhaps since it was surveyed: the deepest "
                        "and the shoalest charted within that count.",
                        std::ceil(mark.moved_m)));
    out.push_back("Reckoned with: " + sea_words(mark.sea) + ".");
    if (const auto words = drift::chain_words(gear.line); !words.empty())
        out.push_back("Chain: " + words + ".");
    out.push_back(ground_sentence(mark, gear));
    out.push_back(swing_sentence(mark));
    add_fouls(true);
    out.push_back(mark.pull
                      ? pull_sentence(*mark.pull)
                      : "Cross-check: load not known; depth or wind is not known, or beyond the table.");
    out.push_back(mark.deadline
                      ? deadline_sentence(*mark.deadline)
                      : "Engine stops here: not known how long the anchor could wait; depth, stream or "
                        "wind is not known.");
}

std::vector<std::string> anchor_assumptions(const plan::Plan& plan) {
    std::vector<std::string> out;
    for (const auto& mark : plan.marks)
        if (!mark.stay_given) {
            out.push_back(fmt::format("anchored for {:.0f} h where no stay is given", mark.stay_s / 3600.0));
            break;
        }
    if (!plan.gear.length_m)
        out.push_back(fmt::format("boat length {:.0f} m: none given", drift::default_boat_length_m));
    out.push_back(fmt::format("own position ±{:.0f} m", drift::own_position_doubt_m));
    out.push_back(
        "in proportion: 6 times the depth in calm, 8 with wind from 8 m/s, stream from 2 kn or waves from "
        "0.5 m, 10 in breaking water; all chain 4, 5 and 7");
    out.push_back(
        "least by common practice: 3 times the depth, 4 with one of wind, stream or waves, 5 with more");
    out.push_back(fmt::format("waves break where higher than {:.1f} times the water", drift::breaking_share));
    out.push_back(fmt::format("letting go: {:.0f} s to react, {:.0f} m until the anchor bites",
                              drift::reaction_s, drift::set_distance_m));
    out.push_back(
        fmt::format("a charted nature of the bottom tells nothing beyond {:.0f} m", nature_reach_m));
    std::string kinds;
    for (const auto& kind : drift_kinds(plan))
        if (!kind.swamped)
            kinds += (kinds.empty() ? "\"" : "\" or \"") + kind.name;
    out.push_back("drift for the last moment: leeway of " + kinds +
                  "\", whichever is faster, and the largest stream");
    return out;
}

} // namespace dangerline::jobs
