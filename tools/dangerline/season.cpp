#include "dangerline/command.hpp"

#include "dangerline/base/words.hpp"
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

/// What is asked beside water; a line, or nothing.
std::string asked_words(const plan::SeasonAsked& asked) {
    using Daylight = plan::SeasonAsked::Daylight;
    static const char* const names[] = {"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
    std::vector<std::string> words;
    std::string days;
    for (std::size_t i = 1; i <= 7; ++i) // Monday first
        if (asked.weekdays[i % 7])
            days += fmt::format("{}{}", days.empty() ? "" : " ", names[i % 7]);
    if (std::count(asked.weekdays.begin(), asked.weekdays.end(), true) < 7)
        words.push_back(fmt::format("on {}", days));
    if (asked.daylight != Daylight::not_asked)
        words.push_back(asked.daylight == Daylight::sun ? "while the Sun is up" : "by civil twilight");
    const auto clock = [](int minutes) { return fmt::format("{:02}:{:02}", minutes / 60, minutes % 60); };
    if (asked.not_before_min)
        words.push_back(fmt::format("not before {}", clock(*asked.not_before_min)));
    if (asked.home_by_min)
        words.push_back(fmt::format("home by {}", clock(*asked.home_by_min)));
    if (asked.longest_s)
        words.push_back(fmt::format("at most {:.1f} h", *asked.longest_s / 3600.0));
    const auto usable = [&](const char* what, const plan::UsableTide& tide) {
        if (tide.at_least_m)
            words.push_back(fmt::format("{} at {} m of tide or more", what, tenths(*tide.at_least_m)));
        if (tide.at_most_m)
            words.push_back(fmt::format("{} at {} m of tide or less", what, tenths(*tide.at_most_m)));
    };
    usable("launching", asked.launch);
    usable("recovery", asked.recovery);
    return words.empty() ? "" : fmt::format("Asked: {}.\n", fmt::join(words, ", "));
}

std::string percent(double share) {
    return share > 0.0 && share < 0.01 ? "under 1 %" : fmt::format("{:.0f} %", share * 100.0);
}

/// The clock at t, with its zone and its day where these are others than at `since`.
std::string clock_since(const TimeZone& zone, Instant t, Instant since) {
    std::string words = zone.clock(t);
    const std::string first = zone.clock(since);
    const auto at = words.find(' ');
    if (at != std::string::npos && words.substr(at) == first.substr(std::min(first.find(' '), first.size())))
        words.resize(at);
    return zone.day(t) == zone.day(since) ? words : words + " on " + day_words(zone, t);
}

/// "turn back by 11:41, else outside until 16:38"; empty where the way home stays open.
std::string home_words(const Window& w, const TimeZone& zone) {
    const auto clock = [&](Instant t) { return clock_since(zone, t, w.when.from); };
    if (w.turn_back_by)
        return fmt::format("turn back by {}{}", clock(*w.turn_back_by),
                           w.stuck_until ? ", else stuck outside until " + clock(*w.stuck_until)
                                         : ", later the way home is closed for days");
    return w.stuck_until ? "the way home is closed on arrival, stuck outside until " + clock(*w.stuck_until)
                         : "";
}

/// A line each window; under one line a month.
void print_months(const Season& s, const TimeZone& zone, std::ostream& out) {
    CalendarDay month{};
    std::string day;
    for (const auto& w : s.windows) {
        const CalendarDay local = zone.day(w.when.from);
        if (local.year != month.year || local.month != month.month)
            out << fmt::format("  {} {}\n", month_names[local.month - 1], local.year);
        month = local;
        const std::string today = day_words(zone, w.when.from), home = home_words(w, zone);
        out << fmt::format("    {:<16}  {} to {}{}\n", today == day ? "" : today, zone.clock(w.when.from),
                           clock_since(zone, w.when.to, w.when.from), home.empty() ? "" : "; " + home);
        day = today;
    }
}

/// What opens the windows, or closes them, the most of them first; `of` picks the reason of one.
void print_ends(const Season& s, const char* words, passage::ReasonNumber Window::*of, std::ostream& out) {
    struct Group {
        passage::ReasonNumber reason;
        int count;
    };
    std::vector<Group> groups;
    for (const auto& w : s.windows) {
        if (w.*of == passage::no_reason)
            continue; // the season's own end
        const auto& r = s.reasons[w.*of];
        const auto same = std::find_if(groups.begin(), groups.end(), [&](const Group& g) {
            const auto& other = s.reasons[g.reason];
            return other.what == r.what && other.object.lnam == r.object.lnam;
        });
        if (same == groups.end())
            groups.push_back({w.*of, 1});
        else
            ++same->count;
    }
    std::stable_sort(groups.begin(), groups.end(),
                     [](const Group& a, const Group& b) { return a.count > b.count; });
    constexpr std::size_t most = 3;
    for (std::size_t i = 0; i < std::min(most, groups.size()); ++i)
        out << fmt::format("  {} {}: {}\n", groups[i].count, words,
                           overlay::reason_words(s, groups[i].reason));
    if (groups.size() > most)
        out << fmt::format("  and others {}, all in windows.csv\n", words);
}

/// "406 min" as "6 h 46 min".
std::string minutes_words(double seconds) {
    const long minutes = std::lround(seconds / 60.0);
    return minutes < 90 ? fmt::format("{} min", minutes)
                        : fmt::format("{} h {:02} min", minutes / 60, minutes % 60);
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
        add("leaving " + minutes_words(*t.late_s) + " later");
    if (t.early_s)
        add(minutes_words(*t.early_s) + " earlier");
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
    print_ends(s, "open after", &Window::opened_by, out);
    print_ends(s, "close with", &Window::closed_by, out);
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
    out << asked_words(*plan.season);
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
