#include "dangerline/command.hpp"

#include "dangerline/base/words.hpp"
#include "dangerline/files/output_set.hpp"
#include "dangerline/jobs/passage.hpp"
#include "dangerline/overlay/overlay.hpp"

#include <algorithm>

#include <fmt/format.h>

namespace dangerline::command {

namespace {

using hazard::Grade;
constexpr std::size_t shown = 5;

std::string grade_words(const passage::Finding& f) {
    const std::string cause = hazard::to_text(f.cause);
    return cause.empty() ? hazard::to_text(f.grade) : fmt::format("{} ({})", hazard::to_text(f.grade), cause);
}

/// "at 07:12", "from 07:12 to 07:15"; behind a place where the boat is no longer in time no clock tells.
std::string when_words(const passage::Finding& f, const jobs::CheckedRoute& route, const TimeZone& zone) {
    const double known_to = route.times.held_to();
    if (f.span.from > known_to)
        return "at no known time";
    if (f.span.to > known_to)
        return "from " + zone.clock(f.enter) + " on";
    const bool moment = zone.clock(f.enter) == zone.clock(f.leave);
    return moment ? "at " + zone.clock(f.enter)
                  : "from " + zone.clock(f.enter) + " to " + zone.clock(f.leave);
}

void print_finding(const passage::Finding& f, std::size_t number, const jobs::CheckedRoute& route,
                   const jobs::PassageReport& r, std::ostream& out) {
    out << fmt::format("  {:>2}. {:<19} {}\n", number, grade_words(f), f.reason);
    // A zone of doubt is no place to look for; the boat's own place where it is worst is.
    const bool doubt = f.kind == hazard::Kind::survey;
    out << fmt::format("      {}, {}; {}{:.0f} m{}{}\n", when_words(f, route, r.plan.zone),
                       place_words(r.plane.to_position(doubt ? f.on_route : f.place)),
                       doubt ? "nearest such ground " : "", f.distance_m, doubt ? "" : " from the line",
                       f.object.lnam.empty()
                           ? ""
                           : fmt::format("; {} {} in {}", f.object.cls, f.object.lnam, f.object.cell));
    if (!f.remark.empty())
        out << fmt::format("      it says there: \"{}\"\n", f.remark);
}

double unknown_length(const passage::Check& check) {
    double metres = 0.0;
    for (const auto& s : check.stretches)
        if (std::any_of(s.marks.begin(), s.marks.end(),
                        [](const auto& m) { return m.grade == Grade::unknown; }))
            metres += s.span.to - s.span.from;
    return metres;
}

/// " (31 days or more)"; empty where a chart's age is not known.
std::string newest_update(const jobs::PassageReport& r) {
    std::optional<long> days;
    for (const auto& c : r.cells) {
        if (c.notes || c.newer)
            continue;
        if (!c.days_since)
            return "";
        days = std::min(days.value_or(*c.days_since), *c.days_since);
    }
    return days ? fmt::format(" ({} days ago or more)", *days) : "";
}

/// `any_known`: whether the route is known of anywhere.
void print_tightest(const jobs::CheckedRoute& route, const jobs::PassageReport& r, bool any_known,
                    std::ostream& out) {
    const auto& check = route.check;
    if (check.blocked) {
        out << "  Tightest passing: none; the corridor holds what no tide covers.\n";
        return;
    }
    if (!check.may_block.empty())
        out << fmt::format(
            "  Tightest passing: at worst no water at all over {}, which perhaps no tide covers.\n",
            check.may_block);
    if (!check.tightest || !any_known)
        return;
    const auto& t = *check.tightest;
    out << fmt::format("  {}{}: {}{} ± {:.1f} m to spare over {}{}{} at {}, tide {} m.\n",
                       check.may_block.empty() ? "Tightest passing (in time, the landing left out)"
                                               : "Of the others the tightest (in time, the landing left out)",
                       route.times.held_to() < route.track.length() ? ", as far as times are known" : "",
                       t.at_worst ? "at worst " : "", spare_tenths(t.spare_m), t.spare_doubt_m, t.what,
                       t.object.name.empty() ? "" : " \"" + t.object.name + "\"",
                       t.at_worst ? " (assumed)" : "", r.plan.zone.clock(t.when), tenths(t.tide_m));
}

/// The three lines a skipper reads first.
void print_head(const jobs::CheckedRoute& route, const jobs::PassageReport& r, std::ostream& out) {
    const auto& check = route.check;
    if (check.findings.empty() || check.findings.front().grade <= Grade::note)
        out << fmt::format("  Worst: nothing found by these checks; {} objects within reach were tested.\n",
                           check.tested.hazards);
    else
        out << fmt::format("  Worst: {}, {}, {}\n         {}\n", grade_words(check.findings.front()),
                           when_words(check.findings.front(), route, r.plan.zone),
                           place_words(r.plane.to_position(check.findings.front().place)),
                           check.findings.front().reason);
    const double length_m = route.track.length(), unknown_m = unknown_length(check);
    print_tightest(route, r, unknown_m < length_m - 1e-3, out);
    out << fmt::format("  Not known: {}what {}sea do, and what has changed since the charts' last "
                       "updates{}.\n",
                       unknown_m > 0.0
                           ? fmt::format("{:.2f} of {:.2f} NM; ", unknown_m / metres_per_nautical_mile,
                                         length_m / metres_per_nautical_mile)
                           : "",
                       r.streams ? "wind and " : "stream and ", newest_update(r));
}

/// "15 danger, 1 unknown, 3 caution" of the findings from `first` on.
std::string counts_words(const std::vector<passage::Finding>& findings, std::size_t first) {
    std::string words;
    for (const auto grade : {Grade::danger, Grade::unknown, Grade::caution, Grade::note}) {
        const auto count = std::count_if(findings.begin() + static_cast<std::ptrdiff_t>(first),
                                         findings.end(), [&](const auto& f) { return f.grade == grade; });
        if (count > 0)
            words += fmt::format("{}{} {}", words.empty() ? "" : ", ", count, hazard::to_text(grade));
    }
    return words;
}

/// A line a leg, where a stream makes it another than the chart shows.
void print_legs(const jobs::CheckedRoute& route, const jobs::PassageReport& r, std::ostream& out) {
    const bool waits = std::any_of(route.legs.begin(), route.legs.end(),
                                   [](const passage::LegSheet& leg) { return leg.wait_s > 0.0; });
    if (!r.streams && !waits)
        return;
    const auto& zone = r.plan.zone;
    for (std::size_t i = 0; i < route.legs.size(); ++i) {
        const auto& leg = route.legs[i];
        const double known_to = route.times.held_to();
        const auto clock = [&](double s, Instant t) {
            return s > known_to ? std::string("no known time") : zone.clock(t);
        };
        out << fmt::format("  Leg {}: {} to {}, {:.2f} NM, course {:03.0f}°", i + 1,
                           clock(leg.from_m, leg.begin), clock(leg.to_m, leg.end),
                           (leg.to_m - leg.from_m) / metres_per_nautical_mile, leg.course_deg);
        if (leg.to_m > known_to) {
            out << ".\n";
            continue;
        }
        if (leg.steer_deg)
            out << fmt::format(", steer {:03.0f}°", *leg.steer_deg);
        if (leg.stream)
            out << fmt::format(", {:.1f} kn made good, stream sets {:03.0f}° {:.1f} kn",
                               leg.made_good_mps / mps_per_knot, leg.stream->set_deg(),
                               leg.stream->rate_mps() / mps_per_knot);
        else if (r.streams)
            out << ", stream not known half way";
        if (leg.wait_s > 0.0)
            out << fmt::format(", then {:.0f} min wait", leg.wait_s / 60.0);
        out << ".\n";
    }
}

/// "Sounder: Bay 07:02 6.1 m ± 0.9 ..."
void print_checkpoints(const jobs::CheckedRoute& route, const jobs::PassageReport& r, std::ostream& out) {
    if (route.checkpoints.empty())
        return;
    out << "  Water a sounder should find, surface to bottom (turn back where it does not):\n";
    const auto& names = route.track.route().place_names;
    for (const auto& c : route.checkpoints) {
        const std::string name = c.place < names.size() && !names[c.place].empty()
                                     ? names[c.place]
                                     : fmt::format("place {}", c.place + 1);
        const bool timed = route.track.place_coordinates()[c.place] <= route.times.held_to();
        out << fmt::format("    {}  {}: ", timed ? r.plan.zone.clock(c.when) : "--:--", name);
        if (c.water_m)
            out << fmt::format("{:.1f} ± {:.1f} m", *c.water_m, c.doubt_m);
        if (c.least_m && c.most_m)
            out << fmt::format("{}{:.1f} to {:.1f} m{}", c.water_m ? ", by the charted range " : "",
                               *c.least_m, *c.most_m, c.water_m ? "" : " (depth area only)");
        if (!c.reason.empty())
            out << "not known, " << c.reason;
        out << "\n";
    }
}

void print_route(const jobs::CheckedRoute& route, const jobs::PassageReport& r, std::ostream& out) {
    const auto& zone = r.plan.zone;
    out << fmt::format("\n{}: {:.2f} NM, leaves {}, arrives {}\n", route.track.route().name,
                       route.track.length() / metres_per_nautical_mile, zone.to_text(route.times.departure()),
                       route.times.held_to() < route.track.length() ? "at no known time"
                                                                    : zone.to_text(route.times.arrival()));
    print_legs(route, r, out);
    for (const auto& warning : route.warnings)
        out << "  Warning: " << warning << ".\n";
    print_head(route, r, out);
    out << "  Findings, worst first:\n";
    const auto& findings = route.check.findings;
    for (std::size_t i = 0; i < std::min(shown, findings.size()); ++i)
        print_finding(findings[i], i + 1, route, r, out);
    if (findings.size() > shown)
        out << fmt::format("      and {} more ({}), all in passage.geojson\n", findings.size() - shown,
                           counts_words(findings, shown));
    print_checkpoints(route, r, out);
}

void print_assumptions(const jobs::PassageReport& r, std::ostream& out) {
    out << fmt::format("\nWater required: {:.1f} m ({})\nTide: {}\n", r.required_m, r.required_words,
                       r.tide_words);
    for (const auto& note : r.tide_notes)
        out << "  " << note << "\n";
    out << (r.streams ? "Stream: speeds are through the water, the boat crabs to stay on its line.\n"
                      : "Stream: none given, none reckoned; speeds are over the ground.\n");
    for (const auto& note : r.stream_notes)
        out << "  " << note << "\n";
    if (r.plan.wind)
        out << r.plan.wind->words << "\n";
    out << "Assumed:\n";
    for (const auto& a : r.plan.assumptions)
        out << "  " << a << "\n";
    for (const auto& c : r.cells)
        out << (c.notes   ? fmt::format("Local notes {}\n", c.name)
                : c.newer ? fmt::format("Newer data {}\n", c.name)
                          : fmt::format("Chart {} edition {} update {}, {}{}\n", c.name, c.edition, c.update,
                                        c.days_since ? fmt::format("last update {} days old on {}",
                                                                   *c.days_since, to_text(r.as_of))
                                                     : std::string("of unknown age"),
                                        c.stale ? ": get its updates" : ""));
}

} // namespace

Exit run(const PassageCall& call, std::ostream& out) {
    const plan::Plan plan = plan::read(call.plan);
    const auto report = jobs::run_passage(plan, call.depart);
    files::OutputSet files(call.out);
    files.add("passage.geojson", overlay::passage_geojson(report, version()));
    files.commit({version(), {{"job", "passage"}}});
    if (!plan.title.empty())
        out << plan.title << "\n";
    for (const auto& c : report.cells)
        if (c.very_stale)
            out << fmt::format(
                "CHART {} HAS HAD NO UPDATE FOR MORE THAN A YEAR, OR ITS DATE CAN'T BE READ.\n", c.name);
    for (const auto& warning : report.warnings)
        out << "WARNING: " << warning << ".\n";
    for (const auto& route : report.routes)
        print_route(route, report, out);
    print_assumptions(report, out);
    print(report.diagnostics, out);
    out << fmt::format("\nWritten: {}\n\n{}", (call.out / "passage.geojson").string(), caution());
    const bool stop = std::any_of(report.routes.begin(), report.routes.end(), [&](const auto& route) {
        return std::any_of(route.check.findings.begin(), route.check.findings.end(), [&](const auto& f) {
            return std::find(call.stop_at.begin(), call.stop_at.end(), f.grade) != call.stop_at.end();
        });
    });
    return stop ? stopped : done;
}

} // namespace dangerline::command
