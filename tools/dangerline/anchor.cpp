#include "dangerline/command.hpp"

#include "dangerline/drift/anchor.hpp"
#include "dangerline/files/output_set.hpp"
#include "dangerline/jobs/anchor.hpp"
#include "dangerline/overlay/anchor.hpp"

#include <fmt/format.h>

namespace dangerline::command {

namespace {

void print_tides(const jobs::AnchorMark& mark, const TimeZone& zone, std::ostream& out) {
    if (mark.tides.empty())
        return;
    out << "  rope for the depth           tide + doubt  to the bow    least  in proportion  all chain\n";
    for (const auto& row : mark.tides)
        out << fmt::format("  {:<26} {:>6} {:+6.2f} m {:9.1f} m {:6.0f} m {:12.0f} m {:8.0f} m\n", row.when,
                           zone.clock(row.at).substr(0, 5), row.tide_m, row.depth_m, row.least_m,
                           row.in_proportion_m, row.all_chain_m);
}

void print_mark(const jobs::AnchorMark& mark, const TimeZone& zone, std::ostream& out) {
    out << fmt::format("\n{}: {}\n  {} to {}\n", mark.name,
                       mark.grade == hazard::Grade::none_found
                           ? "nothing found by these checks; holding not known"
                           : hazard::to_text(mark.grade),
                       zone.to_text(mark.from), zone.to_text(mark.to));
    for (const auto& sentence : mark.sentences)
        out << "  - " << sentence << '\n';
    print_tides(mark, zone, out);
}

void print_list(const char* head, const std::vector<std::string>& lines, std::ostream& out) {
    if (!lines.empty())
        out << '\n' << head << '\n';
    for (const auto& line : lines)
        out << "  " << line << '\n';
}

} // namespace

Exit run(const AnchorCall& call, std::ostream& out) {
    const plan::Plan plan = plan::read(call.plan);
    const auto report = jobs::run_anchor(plan);
    files::OutputSet files(call.out);
    files.add("anchor.geojson", overlay::anchor_geojson(report, version()));
    files.commit({version(), {{"job", "anchor"}}});
    if (!plan.title.empty())
        out << plan.title << '\n';
    for (const auto& warning : report.warnings)
        out << "WARNING: " << warning << '\n';
    const auto& gear = *plan.gear.anchor;
    out << fmt::format(
        "Anchor: {}, {:.1f} kg, {:.0f} m of rope, {:.0f} m of chain; bow {:.1f} m above the water\n",
        drift::to_text(gear.pattern), gear.weight_kg, gear.line.rope_m, gear.line.chain_m,
        *plan.gear.bow_height_m);
    if (!report.wind_words.empty())
        out << fmt::format("Wind: {}\n", report.wind_words);
    for (const auto& mark : report.marks)
        print_mark(mark, plan.zone, out);
    print_list("Tide:", report.tide_notes, out);
    print_list("Stream:", report.stream_notes, out);
    print_list("Assumed:", report.assumptions, out);
    print(report.diagnostics, out);
    out << fmt::format("\nWritten: {}\n\n{}", (call.out / "anchor.geojson").string(), caution());
    return done;
}

} // namespace dangerline::command
