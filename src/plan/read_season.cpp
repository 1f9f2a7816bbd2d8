#include "plan/read_season.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::plan {

namespace {

constexpr const char* weekday_names[] = {"Sun", "Mon", "Tue", "Wed", "Thu", "Fri", "Sat"};
constexpr long longest_season_days = 400;

std::array<bool, 7> read_weekdays(const Section& section) {
    std::array<bool, 7> on{};
    const auto text = section.text("days");
    if (!text) {
        on.fill(true);
        return on;
    }
    std::string word;
    for (const char c : *text + " ") {
        if (std::isalpha(static_cast<unsigned char>(c))) {
            word += c;
            continue;
        }
        if (word.empty())
            continue;
        const auto* const found = std::find(std::begin(weekday_names), std::end(weekday_names), word);
        if (found == std::end(weekday_names))
            section.refuse("days", "no day called \"" + word + "\"", "days like \"Sat Sun\"");
        on[static_cast<std::size_t>(found - std::begin(weekday_names))] = true;
        word.clear();
    }
    if (std::none_of(on.begin(), on.end(), [](bool b) { return b; }))
        section.refuse("days", "no day named", "days like \"Sat Sun\"");
    return on;
}

std::optional<int> read_clock(const Section& section, const std::string& key) {
    const auto text = section.text(key);
    if (!text)
        return std::nullopt;
    const auto digit = [&](std::size_t i) { return (*text)[i] >= '0' && (*text)[i] <= '9'; };
    if (text->size() != 5 || (*text)[2] != ':' || !digit(0) || !digit(1) || !digit(3) || !digit(4) ||
        std::stoi(text->substr(0, 2)) > 23 || std::stoi(text->substr(3, 2)) > 59)
        section.refuse(key, "\"" + *text + "\" is no clock time", "a local clock time like \"20:00\"");
    return 60 * std::stoi(text->substr(0, 2)) + std::stoi(text->substr(3, 2));
}

SeasonAsked::Daylight read_daylight(const Section& section) {
    const auto text = section.text("daylight");
    if (!text)
        return SeasonAsked::Daylight::not_asked;
    if (*text == "sun")
        return SeasonAsked::Daylight::sun;
    if (*text != "twilight")
        section.refuse("daylight", "unknown daylight \"" + *text + "\"",
                       "\"sun\" (sunrise to sunset) or \"twilight\" (civil twilights)");
    return SeasonAsked::Daylight::twilight;
}

UsableTide read_usable(const Section& section, const std::string& key) {
    UsableTide out;
    const auto table = section.table(key);
    if (!table)
        return out;
    const Range metres{-30.0, 30.0};
    out.at_least_m = table->number("at_least_m", metres);
    out.at_most_m = table->number("at_most_m", metres);
    if (out.at_least_m && out.at_most_m && *out.at_least_m >= *out.at_most_m)
        table->refuse("at_most_m", "not above at_least_m", "a higher tide");
    return out;
}

passage::Robustness read_robustness(const Section& section, std::vector<std::string>& assumptions) {
    passage::Robustness sure;
    const Range minutes{0.0, 720.0, "minutes"};
    const auto in_minutes = [&](const char* key, double& seconds, const char* words) {
        if (const auto given = section.number(key, minutes))
            seconds = *given * 60.0;
        else
            assumptions.push_back(fmt::format("offered windows: {} {:.0f} min", words, seconds / 60.0));
    };
    in_minutes("early_min", sure.early_s, "departure early by up to");
    in_minutes("late_min", sure.late_s, "departure late by up to");
    in_minutes("shortest_min", sure.shortest_s, "none shorter than");
    if (const auto percent = section.number("slower_percent", {0.0, 90.0, "percent"}))
        sure.slower = *percent / 100.0;
    else
        assumptions.push_back(
            fmt::format("offered windows: speed less by up to {:.0f} %", sure.slower * 100.0));
    assumptions.push_back(
        "offered windows: beside a landing, over its longest shore stretch, the chart's word "
        "counts without its doubt, which passage shows as margin");
    return sure;
}

} // namespace

std::optional<SeasonAsked> read_season(const Section& head, std::vector<std::string>& assumptions) {
    const auto section = head.table("season");
    if (!section)
        return std::nullopt;
    SeasonAsked out;
    const auto day = [&](const char* key) {
        const auto given = section->day(key);
        if (!given)
            section->refuse(key, "required key is missing", "a day like \"2026-04-01\"");
        return *given;
    };
    out.from = day("from");
    out.to = day("to");
    if (out.to < out.from || days_between(out.from, out.to) > longest_season_days)
        section->refuse("to", "the season ends before it begins, or is longer than 400 days", "a later day");
    out.weekdays = read_weekdays(*section);
    out.daylight = read_daylight(*section);
    out.not_before_min = read_clock(*section, "not_before");
    out.home_by_min = read_clock(*section, "home_by");
    if (const auto hours = section->number("longest_h", {0.0, 240.0, "hours", true}))
        out.longest_s = *hours * 3600.0;
    out.launch = read_usable(*section, "launch");
    out.recovery = read_usable(*section, "recovery");
    out.robustness = read_robustness(*section, assumptions);
    return out;
}

} // namespace dangerline::plan
