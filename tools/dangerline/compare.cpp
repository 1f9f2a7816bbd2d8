#include "dangerline/command.hpp"

#include "dangerline/files/output_set.hpp"
#include "dangerline/jobs/compare.hpp"
#include "dangerline/overlay/newer.hpp"

#include <algorithm>

#include <fmt/format.h>
#include <fmt/ranges.h>

namespace dangerline::command {

namespace {

constexpr std::size_t shown = 5;

void print_newer(const jobs::NewerOutcome& outcome, std::ostream& out) {
    out << fmt::format("\n{}{}: {} objects held against {} charted ones of {}\n", outcome.name,
                       outcome.dated.empty() ? ", undated" : " of " + outcome.dated, outcome.compared,
                       outcome.charted, fmt::join(outcome.classes, ", "));
    const auto& changes = outcome.changes;
    if (changes.empty())
        out << "  No difference found by these checks.\n";
    for (std::size_t i = 0; i < std::min(shown, changes.size()); ++i)
        out << fmt::format("  {:>2}. {}\n", i + 1, changes[i].sentence);
    if (changes.size() > shown)
        out << fmt::format("      and {} more, all in newer.geojson\n", changes.size() - shown);
    const auto adds = std::count_if(changes.begin(), changes.end(),
                                    [](const auto& change) { return change.difference.adds; });
    out << fmt::format("  {} of these differences stand among the hazards as uncharted; nothing charted is "
                       "taken away.\n",
                       adds);
    if (!outcome.gone_judged)
        out << "  What is gone from these data can't be told: they do not say where they are whole.\n";
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
        if (place.changed)
            changed.push_back(&place);
    std::stable_sort(changed.begin(), changed.end(), [](const auto* a, const auto* b) {
        return a->local_m.value_or(0.0) < b->local_m.value_or(0.0); // shoaler first
    });
    for (std::size_t i = 0; i < std::min(shown, changed.size()); ++i)
        out << fmt::format("    {:.5f}, {:.5f}: {}\n", changed[i]->place.lon_deg, changed[i]->place.lat_deg,
                           changed[i]->remark);
    if (changed.size() > shown)
        out << fmt::format("    and {} more, all in soundings.csv\n", changed.size() - shown);
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
    print(report.diagnostics, out);
    out << fmt::format("\nWritten: {}, {}\n\n{}", (call.out / "newer.geojson").string(),
                       (call.out / "soundings.csv").string(), caution());
    return done;
}

} // namespace dangerline::command
