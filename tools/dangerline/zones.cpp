#include "dangerline/command.hpp"

#include "dangerline/files/output_set.hpp"
#include "dangerline/jobs/zones.hpp"
#include "dangerline/overlay/overlay.hpp"

#include <map>

#include <fmt/format.h>

namespace dangerline::command {

Exit run(const ZonesCall& call, std::ostream& out) {
    const plan::Plan plan = plan::read(call.plan);
    const auto report = jobs::run_zones(plan, call.tides_m);
    files::OutputSet files(call.out);
    files.add("zones.geojson", overlay::zones_geojson(report, version()));
    files.commit({version(), {{"job", "zones"}}});
    out << fmt::format("Water required: {:.1f} m ({})\n", report.required_m, report.required_words);
    for (const double tide_m : report.tides_m) {
        std::map<std::string, int> counts;
        for (const auto& zone : report.zones)
            if (zone.tide_m == tide_m && zone.reading == hazard::ZoneReading::charted)
                ++counts[hazard::to_text(zone.grade)];
        out << fmt::format("Tide {:+.2f} m:", tide_m);
        for (const auto& [grade, count] : counts)
            out << fmt::format(" {} {}", count, grade);
        out << (counts.empty() ? " nothing in force as charted\n" : " as charted\n");
    }
    print(report.diagnostics, out);
    out << fmt::format("\nWritten: {}\n\n{}", (call.out / "zones.geojson").string(), caution());
    return done;
}

} // namespace dangerline::command
