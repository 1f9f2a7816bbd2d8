#include "dangerline/command.hpp"

#include "dangerline/jobs/tide.hpp"

#include <fmt/format.h>

namespace dangerline::command {

namespace {

void print(const jobs::TideTable& table, const TimeZone& zone, std::ostream& out) {
    out << table.source << "\n";
    if (!table.place.empty())
        out << "  " << table.place << "\n";
    for (const auto& warning : table.warnings)
        out << "  " << warning << "\n";
    out << "\nHigh and low waters:\n";
    for (const auto& e : table.extremes)
        out << fmt::format("  {} {:<26} {:6.2f} m   {}\n", e.is_high ? "HW" : "LW", zone.to_text(e.at),
                           e.height.metres(), to_iso_utc(e.at));
    if (table.extremes.empty())
        out << "  none in this time\n";
    out << "\nHeights:\n";
    for (const auto& row : table.heights)
        out << fmt::format("  {:<26} {}   {}\n", zone.to_text(row.at),
                           row.metres ? fmt::format("{:6.2f} m", *row.metres) : "unknown",
                           to_iso_utc(row.at));
}

} // namespace

Exit run(const TideCall& call, std::ostream& out) {
    const plan::Plan plan = plan::read(call.plan);
    const auto report = jobs::run_tide(plan, call.from, call.to, call.every_min * 60.0);
    for (const auto& table : report.tides) {
        if (&table != &report.tides.front())
            out << '\n';
        print(table, plan.zone, out);
    }
    out << '\n' << caution();
    return done;
}

} // namespace dangerline::command
