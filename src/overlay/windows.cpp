#include "dangerline/overlay/windows.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "overlay/calendar.hpp"
#include "overlay/csv.hpp"
#include "overlay/head.hpp"

namespace dangerline::overlay {

namespace {

using passage::Reason;
using passage::Season;
using passage::Window;

Value minutes(double seconds) {
    return Value::number(seconds / 60.0, 1);
}
Value time(Instant t) {
    return Value::text(to_iso_utc(t));
}

Value reason_value(const Season& s, passage::ReasonNumber number) {
    if (number == passage::no_reason)
        return Value::null();
    const Reason& r = s.reasons.at(number);
    Members p{
        {"words", Value::text(reason_words(s, number))},  {"limit", Value::flag(r.limit)},
        {"kind", Value::text(hazard::to_text(r.kind))},   {"grade", Value::text(hazard::to_text(r.grade))},
        {"cause", Value::text(hazard::to_text(r.cause))}, {"object", object_value(r.object)},
        {"from_m", Value::number(r.span.from, 1)},        {"to_m", Value::number(r.span.to, 1)}};
    if (r.critical_tide_m)
        p.push_back({"critical_tide_m", Value::number(*r.critical_tide_m, 2)});
    p.push_back({"station", Value::text(r.station)});
    return Value::object(std::move(p));
}

Value closed_value(const Season& s, const std::vector<passage::Closed>& closed) {
    List out;
    for (const auto& c : closed)
        out.push_back(Value::object({{"from", time(c.when.from)},
                                     {"to", time(c.when.to)},
                                     {"closed_by", reason_value(s, c.begins)},
                                     {"opened_by", reason_value(s, c.ends)},
                                     {"most", reason_value(s, c.most)}}));
    return Value::list(std::move(out));
}

Value window_value(const Season& s, const Window& w, const TimeZone& zone) {
    constexpr std::size_t most = 5;
    List named;
    for (std::size_t i = 0; i < std::min(most, w.named.size()); ++i)
        named.push_back(reason_value(s, w.named[i]));
    Members p{{"from", time(w.when.from)},
              {"to", time(w.when.to)},
              {"from_local", Value::text(zone.to_iso(w.when.from))},
              {"to_local", Value::text(zone.to_iso(w.when.to))},
              {"minutes", minutes(w.when.length_s())},
              {"opened_by", reason_value(s, w.opened_by)},
              {"closed_by", reason_value(s, w.closed_by)},
              {"arrives_first", time(w.arrives_first)},
              {"arrives_last", time(w.arrives_last)}};
    if (w.turn_back_by)
        p.push_back({"turn_back_by", time(*w.turn_back_by)});
    if (w.stuck_until)
        p.push_back({"stuck_until", time(*w.stuck_until)});
    p.push_back({"named", Value::list(std::move(named))});
    p.push_back({"named_more", Value::count(w.named.size() - std::min(most, w.named.size()))});
    return Value::object(std::move(p));
}

Value steps_value(const Season& s) {
    List out;
    for (const auto& step : s.steps)
        out.push_back(Value::object(
            {{"reason", reason_value(s, step.reason)},
             {"share", Value::number(step.share, 4)},
             {"hidden_by", step.hidden_by ? reason_value(s, *step.hidden_by) : Value::null()}}));
    return Value::list(std::move(out));
}

Value tightest_value(const Season& s) {
    if (!s.tightest)
        return Value::null();
    const auto& t = *s.tightest;
    Members p{{"departure", time(t.departure)}, {"reason", reason_value(s, t.reason)}};
    if (t.tide_m)
        p.push_back({"less_tide_m", Value::number(*t.tide_m, 2)});
    if (t.late_s)
        p.push_back({"late_min", minutes(*t.late_s)});
    if (t.early_s)
        p.push_back({"early_min", minutes(*t.early_s)});
    if (t.slower)
        p.push_back({"slower_percent", Value::number(*t.slower * 100.0, 1)});
    return Value::object(std::move(p));
}

Value opening_value(const Season& s) {
    if (!s.opening)
        return Value::null();
    const auto reasons = [&](const std::vector<passage::ReasonNumber>& numbers) {
        List out;
        for (const auto n : numbers)
            out.push_back(reason_value(s, n));
        return Value::list(std::move(out));
    };
    return Value::object(
        {{"always", reasons(s.opening->always)},
         {"most", reasons(s.opening->most)},
         {"metres", s.opening->metres ? Value::number(*s.opening->metres, 1) : Value::null()}});
}

Value route_value(const jobs::SeasonRoute& r, const TimeZone& zone) {
    const Season& s = r.season;
    List windows;
    for (const auto& w : s.windows)
        windows.push_back(window_value(s, w, zone));
    const double whole = s.asked.length_s();
    return Value::object({{"route", Value::text(r.track.route().name)},
                          {"length_nm", Value::number(r.track.length() / metres_per_nautical_mile, 2)},
                          {"there_and_back", Value::flag(r.there_and_back)},
                          {"open_share", Value::number(whole > 0.0 ? s.open.length_s() / whole : 0.0, 4)},
                          {"closed", closed_value(s, s.closed)},
                          {"windows", Value::list(std::move(windows))},
                          {"not_offered", closed_value(s, s.not_offered)},
                          {"steps", steps_value(s)},
                          {"tightest", tightest_value(s)},
                          {"opening", opening_value(s)},
                          {"warnings", Value::texts(r.warnings)}});
}

/// Stable, and the same for the same route and time: a calendar that is read twice has no doubles.
std::string event_id(const std::string& route, const Window& w) {
    std::uint64_t hash = 14695981039346656037ULL; // FNV-1a
    for (const char c : route)
        hash = (hash ^ static_cast<unsigned char>(c)) * 1099511628211ULL;
    return fmt::format("{}-{:016x}@dangerline", calendar_time(w.when.from), hash);
}

std::string event(const jobs::SeasonRoute& r, const Window& w, const jobs::SeasonReport& report) {
    const auto& zone = report.plan.zone;
    std::string words = fmt::format("Leave between {} and {}.\nOpens after: {}.\nCloses with: {}.",
                                    zone.to_text(w.when.from), zone.to_text(w.when.to),
                                    reason_words(r.season, w.opened_by), reason_words(r.season, w.closed_by));
    if (w.turn_back_by)
        words += fmt::format("\nHome only if turned back by {}.", zone.to_text(*w.turn_back_by));
    if (w.stuck_until)
        words += fmt::format("\nAfter that stuck outside until {}.", zone.to_text(*w.stuck_until));
    words += "\nAn aid to planning, not for navigation.";
    std::string out = calendar_line("BEGIN", "VEVENT");
    out += calendar_line("UID", event_id(r.track.route().name, w));
    out += calendar_line("DTSTAMP", calendar_time(start_of(report.as_of)));
    out += calendar_line("DTSTART", calendar_time(w.when.from));
    out += calendar_line("DTEND", calendar_time(w.when.to));
    out += calendar_line("SUMMARY", calendar_text("Departure window: " + r.track.route().name));
    out += calendar_line("DESCRIPTION", calendar_text(words));
    out += calendar_line("TRANSP", "TRANSPARENT");
    return out + calendar_line("END", "VEVENT");
}

} // namespace

std::string reason_words(const Season& season, passage::ReasonNumber number) {
    if (number == passage::no_reason)
        return "nothing but the ends of the season";
    const Reason& r = season.reasons.at(number);
    std::string words = r.what;
    if (r.limit)
        return words;
    if (!r.object.name.empty())
        words += fmt::format(" \"{}\"", r.object.name);
    if (!r.basis.empty())
        words += fmt::format(" ({})", r.basis);
    words += fmt::format(", {:.2f} NM from the start", r.span.from / metres_per_nautical_mile);
    if (r.critical_tide_m)
        words += fmt::format(", {} {:.1f} m of tide{}", r.kind == hazard::Kind::overhead ? "above" : "below",
                             *r.critical_tide_m, r.station.empty() ? "" : " at " + r.station);
    return words;
}

std::string windows_json(const jobs::SeasonReport& report, const std::string& program_version) {
    std::vector<std::string> notes = report.tide_notes;
    notes.insert(notes.end(), report.stream_notes.begin(), report.stream_notes.end());
    notes.insert(notes.end(), report.warnings.begin(), report.warnings.end());
    List routes;
    for (const auto& r : report.routes)
        routes.push_back(route_value(r, report.plan.zone));
    const Value counts = Value::object({{"from", time(report.asked.from)},
                                        {"to", time(report.asked.to)},
                                        {"zone", Value::text(report.plan.zone.name())},
                                        {"assumptions", Value::texts(report.plan.season_assumptions)}});
    Members all = head({"season", program_version, report.plan, report.as_of, report.cells, report.required_m,
                        report.required_words, report.tide_words, stream_words(report.streams), notes, counts,
                        report.diagnostics});
    return to_json(
        {{"dangerline", Value::object(std::move(all))}, {"routes", Value::list(std::move(routes))}});
}

std::string windows_csv(const jobs::SeasonReport& report) {
    const auto& zone = report.plan.zone;
    std::string out = "route,from_local,to_local,zone,from_utc,to_utc,minutes,opens_after,closes_with,"
                      "turn_back_by_local,stuck_until_local\r\n";
    for (const auto& r : report.routes)
        for (const auto& w : r.season.windows)
            out += fmt::format("{},{},{},{},{},{},{:.0f},{},{},{},{}\r\n", csv_cell(r.track.route().name),
                               zone.to_iso(w.when.from), zone.to_iso(w.when.to), csv_cell(zone.name()),
                               to_iso_utc(w.when.from), to_iso_utc(w.when.to), w.when.length_s() / 60.0,
                               csv_cell(reason_words(r.season, w.opened_by)),
                               csv_cell(reason_words(r.season, w.closed_by)),
                               w.turn_back_by ? zone.to_iso(*w.turn_back_by) : "",
                               w.stuck_until ? zone.to_iso(*w.stuck_until) : "");
    return out;
}

std::string windows_ics(const jobs::SeasonReport& report, const std::string& program_version) {
    std::string out = calendar_line("BEGIN", "VCALENDAR") + calendar_line("VERSION", "2.0") +
                      calendar_line("PRODID", calendar_text("-//dangerline//" + program_version + "//EN"));
    for (const auto& r : report.routes)
        for (const auto& w : r.season.windows)
            out += event(r, w, report);
    return out + calendar_line("END", "VCALENDAR");
}

} // namespace dangerline::overlay
