#include "dangerline/command.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/jobs/stream.hpp"

#include <fmt/format.h>

namespace dangerline::command {

namespace {

/// Where a row comes from is said where it changes.
std::string words(const sea::StreamThere& there, const std::string& source_before) {
    if (there.stream)
        return fmt::format("sets {:03.0f}°  {:4.1f} kn   {}", there.stream->set_deg(),
                           there.stream->rate_mps() / mps_per_knot,
                           there.source == source_before ? "" : there.source);
    return "unknown" +
           (there.bound_mps ? fmt::format(", at most {:.1f} kn", *there.bound_mps / mps_per_knot) : "") +
           ": " + there.reason;
}

} // namespace

Exit run(const StreamCall& call, std::ostream& out) {
    const plan::Plan plan = plan::read(call.plan);
    if (!(std::abs(call.lat_deg) <= 90.0) || !(std::abs(call.lon_deg) <= 360.0))
        throw Failure(Fault::command_line,
                      {.object = "--at",
                       .what = fmt::format("{},{} is no place", call.lon_deg, call.lat_deg),
                       .expected = "longitude, then latitude, in degrees, like -27.93,46.08"});
    const auto report =
        jobs::run_stream(plan, {call.lon_deg, call.lat_deg}, call.from, call.to, call.every_min * 60.0);
    out << fmt::format("Stream at {:.4f} {} {:.4f} {}\n", std::abs(call.lat_deg),
                       call.lat_deg < 0.0 ? "S" : "N", std::abs(call.lon_deg),
                       call.lon_deg < 0.0 ? "W" : "E");
    for (const auto& note : report.notes)
        out << "  " << note << "\n";
    out << "\n";
    std::string before;
    for (const auto& row : report.rows) {
        out << fmt::format("  {}   {:<26} {}\n", to_iso_utc(row.at), plan.zone.to_text(row.at),
                           words(row.there, before));
        before = row.there.source;
    }
    print(report.diagnostics, out);
    out << '\n' << caution();
    return done;
}

} // namespace dangerline::command
