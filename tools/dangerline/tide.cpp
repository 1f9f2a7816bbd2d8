#include "dangerline/command.hpp"

#include "dangerline/jobs/tide.hpp"

#include <fmt/format.h>

namespace dangerline::command {

Exit run(const TideCall& call, std::ostream& out) {
    const plan::Plan plan = plan::read(call.plan);
    const auto report = jobs::run_tide(plan, call.from, call.to, call.every_min * 60.0);
    out << report.source << "\n";
    for (const auto& warning : report.warnings)
        out << "  " << warning << "\n";
    out << "\nHigh and low waters:\n";
    for (const auto& e : report.extremes)
        out << fmt::format("  {} {:<26} {:6.2f} m   {}\n", e.is_high ? "HW" : "LW", plan.zone.to_text(e.at),
                           e.height.metres(), to_iso_utc(e.at));
    if (report.extremes.empty())
        out << "  none in this time\n";
    out << "\nHeights:\n";
    for (const auto& row : report.heights)
        out << fmt::format("  {:<26} {}   {}\n", plan.zone.to_text(row.at),
                           row.metres ? fmt::format("{:6.2f} m", *row.metres) : "unknown",
                           to_iso_utc(row.at));
    out << '\n' << caution();
    return done;
}

} // namespace dangerline::command
