#include "dangerline/command.hpp"

#include "dangerline/jobs/chart.hpp"
#include "dangerline/tide/datum.hpp"

#include <fmt/format.h>

namespace dangerline::command {

namespace {

void print_cell(const jobs::CellSummary& c, bool day_named, std::ostream& out) {
    out << fmt::format("{}  1:{}  edition {}, update {} issued {}", c.note.name, c.note.scale, c.note.edition,
                       c.note.update, c.note.issued.empty() ? "at an unstated date" : c.note.issued);
    if (c.note.days_since)
        out << fmt::format(", {} days before the day of use{}", *c.note.days_since,
                           c.note.very_stale ? " (more than a year)"
                           : c.note.stale    ? " (more than 90)"
                                             : "");
    else if (day_named)
        out << ", age on the day of use not known";
    out << fmt::format("\n  {}\n", c.file);
    if (c.withdrawn)
        out << "  WITHDRAWN by its producer: it covers nothing\n";
    out << fmt::format("  depths below {}, heights above {}{}\n", tide::datum_text(c.sounding_datum),
                       tide::datum_text(c.height_datum), c.depth_unit == 3 ? ", feet turned to metres" : "");
    if (c.south_west)
        out << fmt::format("  covers {:.1f} square km, {:.4f} to {:.4f} E, {:.4f} to {:.4f} N\n",
                           c.covered_square_km, c.south_west->lon_deg, c.north_east->lon_deg,
                           c.south_west->lat_deg, c.north_east->lat_deg);
    else
        out << "  states no coverage\n";
    out << fmt::format("  gaps {:.1f} and overlaps {:.1f} square metres in the charted bottom\n",
                       c.gap_square_metres, c.overlap_square_metres);
    out << "  hazards:\n";
    for (const auto& h : c.hazards)
        out << fmt::format("    {:<7} {:<24} {:>6}{}\n", h.cls, h.what, h.objects,
                           h.has_depth ? fmt::format(", {} with a known depth", h.known_depth) : "");
    if (c.share && c.share->water > 0.0)
        out << fmt::format(
            "  of {:.1f} square km of water at the mean tide: {:.1f} % danger, {:.1f} % caution, {:.1f} % "
            "unknown, by the bottom alone\n",
            c.share->water / 1e6, 100.0 * c.share->danger / c.share->water,
            100.0 * c.share->caution / c.share->water, 100.0 * c.share->unknown / c.share->water);
    out << "  quality of survey:\n";
    for (const auto& q : c.quality)
        out << fmt::format("    CATZOC {:<5} {:<8} {:>4} zones {:>9.1f} square km\n", q.zone, q.decade,
                           q.zones, q.square_km);
}

} // namespace

Exit run(const ChartCall& call, std::ostream& out) {
    std::optional<plan::Plan> plan;
    if (!call.plan.empty())
        plan = plan::read(call.plan);
    const auto report = jobs::run_chart(call.sources, call.as_of, plan ? &*plan : nullptr);
    if (report.tide)
        out << fmt::format(
            "Shares of water are for {:.1f} m required and the mean tide of 30 days, {:.2f} m by {}.\n",
            report.tide->required_m, report.tide->height_m, report.tide->words);
    for (const auto& cell : report.cells)
        print_cell(cell, report.as_of.has_value(), out);
    if (!report.as_of)
        out << "Ages of updates are left out; name the day of use with --as-of.\n";
    print(report.diagnostics, out, 1000);
    if (report.refused > 0)
        out << fmt::format("\n{} of {} cells can't be used at all, see above.\n", report.refused,
                           report.refused + report.cells.size());
    out << '\n' << caution();
    return report.refused > 0 ? not_processed : done;
}

} // namespace dangerline::command
