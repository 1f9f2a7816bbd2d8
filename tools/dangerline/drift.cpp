#include "dangerline/command.hpp"

#include "dangerline/files/output_set.hpp"
#include "dangerline/jobs/drift.hpp"
#include "dangerline/overlay/drift.hpp"

#include <cmath>

#include <fmt/format.h>

namespace dangerline::command {

namespace {

std::string minutes(double seconds) {
    return std::isfinite(seconds) ? fmt::format("{:.0f}", std::floor(seconds / 60.0)) : std::string("-");
}

void print_mark(const jobs::DriftedMark& mark, const plan::Plan& plan, std::ostream& out) {
    out << fmt::format("\n{}, engine dies {}\n  {}; {}\n", mark.name, plan.zone.to_text(mark.at),
                       mark.wind_words, mark.stream_words);
    if (mark.envelope)
        out << fmt::format(
            "  The stream is not known here but is at most {:.1f} kn: with wind and stream together "
            "the nearest danger, {:.0f} m away, could be reached in {} min.\n",
            mark.envelope->bound_mps / mps_per_knot, mark.envelope->nearest_m,
            minutes(mark.envelope->soonest_s));
    for (std::size_t i = 0; i < mark.boats.size(); ++i) {
        const auto& boat = mark.boats[i];
        out << fmt::format("  As \"{}\" (leeway {:.2f} % of the wind, {}){}:\n", boat.kind,
                           100.0 * boat.leeway.share, boat.source,
                           i == mark.shortest ? ": the shortest time, which counts" : "");
        for (const auto& sentence : boat.sentences)
            out << "    - " << sentence << '\n';
    }
    const auto& counts = mark.boats[mark.shortest];
    out << fmt::format("  Minutes in hand: {} (by then one run in twenty has met a danger or left what is "
                       "known), {} (half the "
                       "runs).\n",
                       minutes(counts.summary.trouble.early_s), minutes(counts.summary.trouble.median_s));
}

void print_foot(const jobs::DriftReport& r, std::ostream& out) {
    out << fmt::format(
        "\nDanger zone: less than {:.1f} m of water ({}). Touching: less than {:.2f} m (draught with "
        "the leg down and half a wave).\nTide: {}\n",
        r.required_m, r.required_words, r.touching_m, r.tide_words);
    for (const auto& note : r.tide_notes)
        out << "  " << note << '\n';
    for (const auto& note : r.stream_notes)
        out << "  stream: " << note << '\n';
    out << "Assumed:\n";
    for (const auto* list : {&r.plan.assumptions, &r.plan.drift_assumptions})
        for (const auto& a : *list)
            out << "  " << a << '\n';
    print(r.diagnostics, out);
}

Exit run_table(const DriftCall& call, const plan::Plan& plan, std::ostream& out) {
    int said = -1;
    const auto report = jobs::run_drift_table(plan, [&](double share) {
        const int percent = static_cast<int>(100.0 * share);
        if (call.progress && percent != said)
            *call.progress << fmt::format("\r{:3} %", percent) << (percent == 100 ? "\r     \r" : "")
                           << std::flush;
        said = percent;
    });
    files::OutputSet files(call.out);
    files.add("drift-table.csv", overlay::drift_table_csv(report));
    files.add("drift-table.geojson", overlay::drift_table_geojson(report, version()));
    files.commit({version(), {{"job", "drift-table"}}});
    for (const auto& warning : report.base.warnings)
        out << "WARNING: " << warning << ".\n";
    for (const auto& day : report.days)
        out << fmt::format("{}, {}: high water {}, range {:.1f} m\n", report.base.marks[day.mark].name,
                           day.springs ? "springs" : "neaps", plan.zone.to_text(day.high_water), day.range_m);
    out << '\n';
    for (const auto& sentence : report.sentences)
        out << sentence << '\n';
    print_foot(report.base, out);
    out << fmt::format("\nWritten: drift-table.csv and drift-table.geojson in {}\n\n{}", call.out.string(),
                       caution());
    return done;
}

void print_broken(const jobs::BrokenRoute& route, const jobs::BreakdownReport& report, std::ostream& out) {
    const auto& zone = report.base.plan.zone;
    out << fmt::format("\n{}, leaving {}\n", route.track.route().name, zone.to_text(route.departure));
    for (const auto& warning : route.warnings)
        out << "  Warning: " << warning << ".\n";
    for (const auto& sentence : route.sentences)
        out << "  - " << sentence << '\n';
    out << "      from NM   to NM  at             in hand\n";
    for (const auto& stretch : route.stretches)
        out << fmt::format(
            "    {:9.2f} {:7.2f}  {} to {}  {}\n", stretch.span.from / metres_per_nautical_mile,
            stretch.span.to / metres_per_nautical_mile, zone.clock(stretch.from).substr(0, 5),
            zone.clock(stretch.to).substr(0, 5), jobs::stretch_words(route, stretch, report.base));
}

} // namespace

Exit run(const BreakdownCall& call, std::ostream& out) {
    const plan::Plan plan = plan::read(call.plan);
    const auto report = jobs::run_breakdown(plan, call.depart);
    files::OutputSet files(call.out);
    files.add("breakdown.geojson", overlay::breakdown_geojson(report, version()));
    files.commit({version(), {{"job", "breakdown"}}});
    if (!plan.title.empty())
        out << plan.title << '\n';
    for (const auto& warning : report.base.warnings)
        out << "WARNING: " << warning << ".\n";
    for (const auto& route : report.routes)
        print_broken(route, report, out);
    print_foot(report.base, out);
    out << fmt::format("\nWritten: {}\n\n{}", (call.out / "breakdown.geojson").string(), caution());
    return done;
}

Exit run(const DriftCall& call, std::ostream& out) {
    const plan::Plan plan = plan::read(call.plan);
    if (call.table)
        return run_table(call, plan, out);
    const auto report = jobs::run_drift(plan);
    files::OutputSet files(call.out);
    files.add("drift.geojson", overlay::drift_geojson(report, version()));
    files.commit({version(), {{"job", "drift"}}});
    if (!plan.title.empty())
        out << plan.title << '\n';
    for (const auto& warning : report.warnings)
        out << "WARNING: " << warning << ".\n";
    for (const auto& mark : report.marks)
        print_mark(mark, plan, out);
    print_foot(report, out);
    out << fmt::format("\nWritten: {}\n\n{}", (call.out / "drift.geojson").string(), caution());
    return done;
}

} // namespace dangerline::command
