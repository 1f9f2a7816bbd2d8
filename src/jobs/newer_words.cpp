#include "jobs/newer_words.hpp"

#include "dangerline/hazard/rules.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::jobs {

namespace {

using survey::Change;

std::string depth_words(double depth_m) {
    return depth_m < 0.0 ? fmt::format("drying {:.1f} m", -depth_m) : fmt::format("{:.1f} m", depth_m);
}

/// More than a rule, or a note to anchors.
bool is_dangerous(const std::string& cls) {
    const auto rules = hazard::rules_for(cls);
    return cls == "PIPSOL" || std::any_of(rules.begin(), rules.end(), [](const hazard::Rule* rule) {
               return rule->kind != hazard::Kind::regulated;
           });
}

} // namespace

const char* to_text(NewerKind kind) {
    switch (kind) {
    case NewerKind::missing:
        return "missing from the charts";
    case NewerKind::shoaler:
        return "shoaler than charted, or charted without a depth";
    case NewerKind::moved:
        return "not at its charted place";
    case NewerKind::larger:
        return "larger than charted";
    case NewerKind::rules:
        return "cables, pipe areas and rules that the charts lack";
    case NewerKind::deeper:
        return "deeper than charted";
    case NewerKind::gone:
        return "charted, but gone from the newer data";
    }
    return "";
}

NewerKind kind_of(const NewerChange& change) {
    const auto& d = change.difference;
    if (d.change == Change::gone)
        return NewerKind::gone;
    if (d.change == Change::depth_differs)
        return d.adds ? NewerKind::shoaler : NewerKind::deeper;
    if (!is_dangerous(change.newer.cls))
        return NewerKind::rules;
    return d.change == Change::missing ? NewerKind::missing
           : d.change == Change::moved ? NewerKind::moved
                                       : NewerKind::larger;
}

std::string words_of(const survey::Difference& d, const NewerChange& change) {
    switch (d.change) {
    case Change::missing:
        return "missing from the charts";
    case Change::moved:
        return fmt::format("{:.0f} m from its charted place, where both may be {:.0f} m out", *d.metres,
                           d.doubt_m);
    case Change::larger:
        return fmt::format("reaches {:.0f} m beyond what is charted", *d.metres);
    case Change::depth_differs: {
        const std::string newer = depth_words(*change.newer_depth_m);
        if (!change.charted_depth_m)
            return newer + " where the charts state no depth";
        if (!d.metres)
            return fmt::format("{}, above another datum than the charted {}", newer,
                               depth_words(*change.charted_depth_m));
        return fmt::format("{} where {} is charted, {:.1f} m {} ({} both doubts of {:.1f} m)", newer,
                           depth_words(*change.charted_depth_m), std::abs(*d.metres),
                           *d.metres < 0.0 ? "shoaler" : "deeper",
                           std::abs(*d.metres) > d.doubt_m ? "beyond" : "within", d.doubt_m);
    }
    case Change::gone:
        return "charted, but not in the newer data; it stays a hazard";
    }
    return "";
}

bool may_be_one_thing(std::string_view a, std::string_view b) {
    static const std::array<std::vector<std::string_view>, 5> families{{{"WRECKS", "OBSTRN", "UWTROC"},
                                                                        {"OFSPLF", "LNDMRK", "PILPNT"},
                                                                        {"CBLSUB", "CBLARE"},
                                                                        {"PIPSOL", "PIPARE"},
                                                                        {"RESARE", "MIPARE", "CTNARE"}}};
    return std::any_of(families.begin(), families.end(), [&](const auto& family) {
        const auto holds = [&](std::string_view cls) {
            return std::find(family.begin(), family.end(), cls) != family.end();
        };
        return holds(a) && holds(b);
    });
}

void most_dangerous_first(std::vector<NewerChange>& changes) {
    std::stable_sort(changes.begin(), changes.end(), [](const NewerChange& a, const NewerChange& b) {
        const auto key = [](const NewerChange& c) { return std::pair(kind_of(c), c.off_m.value_or(0.0)); };
        return key(a) < key(b);
    });
}

void say_outcome(const NewerOutcome& outcome, const plan::NewerSource& source, bool near_routes,
                 Diagnostics& diagnostics) {
    std::size_t adds = 0;
    for (const auto& change : outcome.changes)
        adds += change.difference.adds;
    diagnostics.push_back(
        {adds > 0 ? Severity::warning : Severity::note, source.file.string(), "",
         fmt::format("{} differences from the charts{}, {} of them now among the hazards as uncharted{}",
                     outcome.changes.size(), near_routes ? " near the routes" : "", adds,
                     outcome.gone_judged ? ""
                                         : "; it does not say where it is whole, so what is "
                                           "gone from it can't be told")});
    if (const auto words = left_out_words(outcome); !words.empty())
        diagnostics.push_back({Severity::note, source.file.string(), "", words});
    if (outcome.dated.empty())
        diagnostics.push_back({Severity::warning, source.file.string(), "",
                               "nobody says when these data were made; whether they are newer is not known"});
}

std::string left_out_words(const NewerOutcome& outcome) {
    const auto& n = outcome.left_out;
    std::string text;
    const auto add = [&text](std::size_t count, const std::string& why) {
        if (count > 0)
            text += fmt::format("{}{} {}", text.empty() ? "" : ", ", count, why);
    };
    add(n.far, "farther than 10 NM from the routes and marks");
    add(n.on_no_chart, "on no chart");
    add(n.on_land, "on land away from charted water");
    if (!text.empty())
        text = "objects not compared: " + text;
    if (n.told_not > 0)
        text += fmt::format("{}{} differences farther than 3 NM from the routes and marks are not told",
                            text.empty() ? "" : "; ", n.told_not);
    return text;
}

} // namespace dangerline::jobs
