#include "dangerline/command.hpp"

#include "dangerline/files/output_set.hpp"
#include "dangerline/jobs/compare.hpp"
#include "dangerline/overlay/newer.hpp"

#include <algorithm>
#include <map>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace dangerline::command {

namespace {

constexpr std::size_t shown = 5;

/// "  6 missing from the charts: 5 platform, 1 pipe or outfall".
void print_kinds(const std::vector<jobs::NewerChange>& changes, std::ostream& out) {
    for (std::size_t first = 0; first < changes.size();) {
        const auto kind = jobs::kind_of(changes[first]);
        std::map<std::string, std::size_t> of_class;
        std::size_t end = first;
        for (; end < changes.size() && jobs::kind_of(changes[end]) == kind; ++end)
            ++of_class[changes[end].what];
        std::string words;
        for (const auto& [what, count] : of_class)
            words += fmt::format("{}{} {}", words.empty() ? "" : ", ", count, what);
        out << fmt::format("  {:>3} {}: {}\n", end - first, jobs::to_text(kind), words);
        first = end;
    }
}

void print_change(const jobs::NewerChange& change, std::size_t number, std::ostream& out) {
    const auto& object = change.newer.cls.empty() ? change.charted : change.newer;
    out << fmt::format("  {:>2}. {}\n      {}{}; {} {} in {}\n", number, change.sentence,
                       change.off_m ? fmt::format("{:.0f} m from {}, ", *change.off_m, change.off) : "",
                       place_words(change.place), object.cls, object.lnam,
                       change.newer.cls.empty() ? object.cell : change.source);
}

void print_newer(const jobs::NewerOutcome& outcome, std::ostream& out) {
    out << fmt::format("\n{}{}: {} objects held against {} charted ones of {}\n", outcome.name,
                       outcome.dated.empty() ? ", undated" : " of " + outcome.dated, outcome.compared,
                       outcome.charted, fmt::join(outcome.classes, ", "));
    const auto& changes = outcome.changes;
    if (changes.empty())
        out << "  No difference found by these checks.\n";
    print_kinds(changes, out);
    if (const auto words = jobs::left_out_words(outcome); !words.empty())
        out << fmt::format("  Left out: {}.\n", words);
    if (!outcome.gone_judged)
        out << "  What is gone from these data can't be told: they do not say where they are whole.\n";
    if (!changes.empty())
        out << "  Most dangerous first, of one kind the nearest first:\n";
    for (std::size_t i = 0; i < std::min(shown, changes.size()); ++i)
        print_change(changes[i], i + 1, out);
    if (changes.size() > shown)
        out << fmt::format("      and {} more, all in newer.geojson\n", changes.size() - shown);
    const auto adds = std::count_if(changes.begin(), changes.end(),
                                    [](const auto& change) { return change.difference.adds; });
    out << fmt::format("  {} of these differences stand among the hazards as uncharted; nothing charted is "
                       "taken away.\n",
                       adds);
}

void print_assumptions(const jobs::CompareReport& report, std::ostream& out) {
    out << (report.as_of ? fmt::format("\nAges are reckoned at {}.\n", to_text(*report.as_of))
                         : "\nAges are not known; name the day of use with as_of in the plan.\n");
    for (const auto& c : report.cells)
        if (!c.notes && !c.newer)
            out << fmt::format("Chart {} edition {} update {}, {}{}\n", c.name, c.edition, c.update,
                               c.days_since ? fmt::format("last update {} days old", *c.days_since)
                                            : std::string("of unknown age"),
                               c.stale ? ": get its updates" : "");
    if (!report.assumptions.empty())
        out << "Assumed:\n";
    for (const auto& assumption : report.assumptions)
        out << "  " << assumption << "\n";
}

void print_tried(const jobs::TriedOutcome& outcome, std::ostream& out) {
    out << fmt::format("\nRun by {} on {} ({}): ", outcome.run.by, to_text(outcome.run.on), outcome.file);
    if (outcome.why_not.empty())
        out << fmt::format("{:.2f} NM count as evidence\n", outcome.length_m / metres_per_nautical_mile);
    else
        out << fmt::format("counts for nothing: {}\n", outcome.why_not);
    if (outcome.offset_words.empty())
        return;
    out << fmt::format("  Sounder: {}.\n", outcome.offset_words);
    std::vector<const jobs::SoundedPlace*> changed;
    for (const auto& place : outcome.places)
        if (place.changed || place.shoaler())
            changed.push_back(&place);
    std::stable_sort(changed.begin(), changed.end(), [](const auto* a, const auto* b) {
        return std::pair(!a->shoaler(), a->local_m.value_or(0.0)) <
               std::pair(!b->shoaler(), b->local_m.value_or(0.0)); // shoaler first
    });
    for (std::size_t i = 0; i < std::min(shown, changed.size()); ++i)
        out << fmt::format("    {:<16} {}: {}\n", changed[i]->shoaler() ? "caution (survey)" : "note",
                           place_words(changed[i]->place), changed[i]->remark);
    if (changed.size() > shown)
        out << fmt::format("    and {} more, all in soundings.csv\n", changed.size() - shown);
    if (!changed.empty() && changed.front()->shoaler())
        out << "    What is shoaler stands among the findings of passages near it.\n";
}

} // namespace

Exit run(const CompareCall& call, std::ostream& out) {
    const plan::Plan plan = plan::read(call.plan);
    const auto report = jobs::run_compare(plan);
    files::OutputSet files(call.out);
    files.add("newer.geojson", overlay::newer_geojson(report, version()));
    files.add("soundings.csv", overlay::soundings_csv(report));
    files.commit({version(), {{"job", "compare"}}});
    if (!plan.title.empty())
        out << plan.title << "\n";
    for (const auto& outcome : report.newer)
        print_newer(outcome, out);
    for (const auto& outcome : report.tried)
        print_tried(outcome, out);
    print_assumptions(report, out);
    print(report.diagnostics, out);
    out << fmt::format("\nWritten: {}, {}\n\n{}", (call.out / "newer.geojson").string(),
                       (call.out / "soundings.csv").string(), caution());
    return done;
}

} // namespace dangerline::command
