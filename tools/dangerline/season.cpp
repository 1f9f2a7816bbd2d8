#include "dangerline/command.hpp"

#include "dangerline/files/output_set.hpp"
#include "dangerline/jobs/season.hpp"
#include "dangerline/overlay/windows.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::command {

namespace {

using passage::Season;
using passage::Window;

const char* const month_names[] = {"January", "February", "March",     "April",   "May",      "June",
                                   "July",    "August",   "September", "October", "November", "December"};

/// "Tue 16 Jun 2026" of "Tue 16 Jun 2026 07:12 BST": the day a skipper looks up.
std::string day_words(const TimeZone& zone, Instant t) {
    const std::string all = zone.to_text(t);
    return all.substr(0, all.size() - zone.clock(t).size() - 1);
}

std::string percent(double share) {
    return share > 0.0 && share < 0.01 ? "under 1 %" : fmt::format("{:.0f} %", share * 100.0);
}

/// One line a day, the windows behind each other; under one line a month.
void print_months(const Season& s, const TimeZone& zone, std::ostream& out) {
    CalendarDay month{};
    std::string day;
    for (const auto& w : s.windows) {
        const CalendarDay local = zone.day(w.when.from);
        if (local.year != month.year || local.month != month.month) {
            out << (day.empty() ? "" : "\n")
                << fmt::format("  {} {}\n", month_names[local.month - 1], local.year);
            month = local;
            day.clear();
        }
        const std::string today = day_words(zone, w.when.from);
        if (today != day)
            out << (day.empty() ? "    " : "\n    ") << fmt::format("{:<16}", today);
        day = today;
        const bool next_day = zone.day(w.when.to) != local;
        out << fmt::format("  {} to {}{}", zone.clock(w.when.from), zone.clock(w.when.to),
                           next_day ? " next day" : "");
        if (w.turn_back_by)
            out << fmt::format(" (turn back by {})", zone.clock(*w.turn_back_by));
    }
    if (!day.empty())
        out << "\n";
}

void print_limits(const Season& s, std::ostream& out) {
    constexpr std::size_t most = 5;
    std::size_t shown = 0, more = 0;
    out << "  What limits it, the largest share of the season first:\n";
    std::vector<std::size_t> seen; // of a bank its first step says enough
    for (const auto& step : s.steps) {
        if (step.share <= 0.0 || (!s.reasons[step.reason].object.lnam.empty() &&
                                  std::find(seen.begin(), seen.end(), step.hazard) != seen.end()))
            continue;
        seen.push_back(step.hazard);
        if (++shown > most) {
            ++more;
            continue;
        }
        out << fmt::format("    {:<9} {}\n", percent(step.share), overlay::reason_words(s, step.reason));
        if (step.hidden_by)
            out << fmt::format("              hidden by {}\n", overlay::reason_words(s, *step.hidden_by));
    }
    if (shown == 0)
        out << "    nothing charted closes a departure\n";
    if (more > 0)
        out << fmt::format("    and {} more; their steps are in windows.json\n", more);
}

void print_tightest(const Season& s, const TimeZone& zone, std::ostream& out) {
    if (!s.tightest)
        return;
    const auto& t = *s.tightest;
    std::string words;
    const auto add = [&words](const std::string& more) {
        words += words.empty() ? "" : ", or ";
        words += more;
    };
    if (t.tide_m)
        add(fmt::format("{:.1f} m less tide", std::max(0.0, *t.tide_m)));
    if (t.late_s)
        add(fmt::format("leaving {:.0f} min later", *t.late_s / 60.0));
    if (t.early_s)
        add(fmt::format("{:.0f} min earlier", *t.early_s / 60.0));
    if (t.slower)
        add(fmt::format("{:.0f} % less speed", *t.slower * 100.0));
    if (words.empty())
        return;
    out << fmt::format("  Tightest: leaving {}, {} closes it.\n", zone.to_text(t.departure), words);
    if (t.reason != passage::no_reason)
        out << fmt::format("    the least tide to spare is over {}\n", overlay::reason_words(s, t.reason));
}

void print_opening(const Season& s, std::ostream& out) {
    if (!s.opening)
        return;
    const auto& o = *s.opening;
    out << (s.open.empty()
                ? "  It never works in this season.\n"
                : "  No window is wide enough to be offered; doubts and limits close what is open.\n");
    const auto& reasons = o.always.empty() ? o.most : o.always;
    for (std::size_t i = 0; i < std::min<std::size_t>(5, reasons.size()); ++i)
        out << fmt::format("    {}{}\n", o.always.empty() ? "forbidden by " : "at any tide: ",
                           overlay::reason_words(s, reasons[i]));
    if (o.metres)
        out << fmt::format("    {0:.1f} m less draught, or {0:.1f} m more tide, would open it.\n", *o.metres);
    else if (o.always.empty())
        out << "    less draught or more tide does not open it.\n";
}

void print_named(const Season& s, std::ostream& out) {
    std::vector<passage::ReasonNumber> seen; // one a hazard and cause
    const auto alike = [&](passage::ReasonNumber a, passage::ReasonNumber b) {
        const auto &x = s.reasons[a], &y = s.reasons[b];
        return x.cause == y.cause && x.what == y.what && x.object.lnam == y.object.lnam;
    };
    for (const auto& w : s.windows)
        for (const auto n : w.named)
            if (std::none_of(seen.begin(), seen.end(), [&](auto other) { return alike(n, other); }))
                seen.push_back(n);
    if (seen.empty())
        return;
    std::stable_sort(seen.begin(), seen.end(),
                     [&](auto a, auto b) { return s.reasons[a].cause < s.reasons[b].cause; });
    out << "  In offered windows there is still caution for:\n";
    constexpr std::size_t most = 5;
    for (std::size_t i = 0; i < std::min(most, seen.size()); ++i)
        out << fmt::format("    {}: {}\n", hazard::to_text(s.reasons[seen[i]].cause),
                           overlay::reason_words(s, seen[i]));
    if (seen.size() > most)
        out << fmt::format("    and {} more, in windows.json\n", seen.size() - most);
}

void print_route(const jobs::SeasonRoute& r, const jobs::SeasonReport& report, std::ostream& out) {
    const Season& s = r.season;
    const auto& zone = report.plan.zone;
    out << fmt::format("\n{}: {:.2f} NM{}\n", r.track.route().name,
                       r.track.length() / metres_per_nautical_mile,
                       r.there_and_back ? ", there and back" : "");
    for (const auto& warning : r.warnings)
        out << "  Warning: " << warning << ".\n";
    out << fmt::format("  {} of all departures meet no danger and nothing unknown; {} windows are offered.\n",
                       percent(s.asked.length_s() > 0.0 ? s.open.length_s() / s.asked.length_s() : 0.0),
                       s.windows.size());
    print_months(s, zone, out);
    print_opening(s, out);
    print_limits(s, out);
    print_tightest(s, zone, out);
    print_named(s, out);
}

void print_assumptions(const jobs::SeasonReport& r, std::ostream& out) {
    out << fmt::format("\nWater required: {:.1f} m ({})\nTide: {}\n", r.required_m, r.required_words,
                       r.tide_words);
    for (const auto& note : r.tide_notes)
        out << "  " << note << "\n";
    out << (r.streams ? "Stream: reckoned with.\n"
                      : "Stream: none known; speed over ground is taken as given.\n");
    for (const auto& note : r.stream_notes)
        out << "  " << note << "\n";
    out << "Assumed:\n";
    for (const auto* list : {&r.plan.assumptions, &r.plan.season_assumptions})
        for (const auto& a : *list)
            out << "  " << a << "\n";
}

} // namespace

Exit run(const SeasonCall& call, std::ostream& out) {
    const plan::Plan plan = plan::read(call.plan);
    const auto report = jobs::run_season(plan);
    files::OutputSet files(call.out);
    files.add("windows.json", overlay::windows_json(report, version()));
    files.add("windows.csv", overlay::windows_csv(report));
    files.add("windows.ics", overlay::windows_ics(report, version()));
    files.commit({version(), {{"job", "season"}}});
    out << fmt::format("{}Departures from {} to {}, times of {}.\n",
                       plan.title.empty() ? "" : plan.title + "\n", plan.zone.to_text(report.asked.from),
                       plan.zone.to_text(report.asked.to), plan.zone.name());
    for (const auto& warning : report.warnings)
        out << "WARNING: " << warning << ".\n";
    for (const auto& route : report.routes)
        print_route(route, report, out);
    print_assumptions(report, out);
    print(report.diagnostics, out);
    out << fmt::format("\nWritten: windows.json, windows.csv and windows.ics in {}\n\n{}", call.out.string(),
                       caution());
    return done;
}

} // namespace dangerline::command
