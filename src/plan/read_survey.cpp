#include "plan/read_survey.hpp"

#include <algorithm>
#include <array>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "plan/read_tide.hpp"

namespace dangerline::plan {

namespace {

using survey::Moving;

struct KindName {
    const char* key;
    Moving kind;
};
constexpr std::array<KindName, 6> kinds{{{"soft", Moving::soft},
                                         {"sand_waves", Moving::sand_waves},
                                         {"bank", Moving::bank},
                                         {"river_mouth", Moving::river_mouth},
                                         {"channel", Moving::channel},
                                         {"bar", Moving::bar}}};

const Range a_rate{0.0, 2000.0, "metres a year"};
const Range some_years{0.0, 500.0, "years"};

/// Whether what a kind does where nothing is said counts anywhere: soft ground and sand waves are charted,
/// all others drawn by the plan, which may say it of each.
bool counts(Moving kind, const std::vector<MovingEntry>& moving, std::optional<double> MovingEntry::*own) {
    return kind == Moving::soft || kind == Moving::sand_waves ||
           std::any_of(moving.begin(), moving.end(),
                       [&](const MovingEntry& entry) { return entry.kind == kind && !(entry.*own); });
}

/// "sand waves 5 m a year, flagged after 10", "bar flagged after 1".
void read_kind(const std::optional<Section>& section, const KindName& kind,
               const std::vector<MovingEntry>& moving, survey::MovingRule& rule,
               std::vector<std::string>& left) {
    std::optional<double> rate, years;
    if (const auto table = section ? section->table(kind.key) : std::nullopt) {
        rate = table->number("m_per_year", a_rate);
        years = table->number("years", some_years);
    }
    rule.metres_per_year = rate.value_or(rule.metres_per_year);
    rule.years = years.value_or(rule.years);
    if (rate)
        rule.source = survey::by_the_plan;
    const bool rate_left = !rate && counts(kind.kind, moving, &MovingEntry::metres_per_year);
    const bool years_left =
        !years && (kind.kind == Moving::bar || counts(kind.kind, moving, &MovingEntry::years));
    if (rate_left)
        left.push_back(fmt::format("{} {} m a year{}", survey::to_text(kind.kind), rule.metres_per_year,
                                   years_left ? fmt::format(", flagged after {}", rule.years) : ""));
    else if (years_left)
        left.push_back(fmt::format("{} flagged after {}", survey::to_text(kind.kind), rule.years));
}

Moving kind_of(const Section& section) {
    const char* expected = "\"bank\", \"bar\", \"channel\" or \"river mouth\"";
    const std::string text = section.needed_text("kind", expected);
    for (const auto kind : {Moving::bank, Moving::bar, Moving::channel, Moving::river_mouth})
        if (text == survey::to_text(kind))
            return kind;
    section.refuse("kind", "unknown kind " + in_quotes(text), expected);
}

void read_area(const Section& section, MovingEntry& entry) {
    const char* expected =
        "a list of three positions or more, longitude first, or the path of a GeoJSON file with a polygon";
    const TomlValue* value = section.find("area");
    if (value == nullptr)
        section.refuse("area", "required key is missing", expected);
    if (value->kind == TomlValue::Kind::text) {
        entry.file = section.needed_path("area");
        return;
    }
    if (value->kind != TomlValue::Kind::list)
        section.refuse("area", "wrong type: " + describe(*value), expected);
    for (const TomlValue& corner : value->items)
        entry.ring.push_back(read_position(section, "area", corner));
    if (entry.ring.size() > 1 && entry.ring.front() == entry.ring.back())
        entry.ring.pop_back();
    if (entry.ring.size() < 3)
        section.refuse("area", fmt::format("{} corners bound nothing", entry.ring.size()), expected);
}

std::optional<survey::PartialDate> read_surveyed(const Section& section) {
    const TomlValue* value = section.find("surveyed");
    if (value == nullptr)
        return std::nullopt;
    const bool year = value->kind == TomlValue::Kind::integer;
    const auto date = survey::read_date(year ? fmt::format("{:.0f}", value->number) : value->text);
    if (!date)
        section.refuse("surveyed", describe(*value) + " is no date",
                       "a year, a month or a day, like 2024, \"2024-05\" or 2024-05-31");
    return date;
}

} // namespace

survey::TrustSettings read_survey(const Section& head, const std::vector<MovingEntry>& moving,
                                  std::vector<std::string>& assumptions) {
    survey::TrustSettings trust;
    const auto table = head.table("survey");
    std::vector<std::string> left;
    const auto read = [&](const char* key, double& value, const Range& range) {
        const auto given = table ? table->number(key, range) : std::nullopt;
        value = given.value_or(value);
        return given.has_value();
    };
    if (const auto year = table ? table->whole_number("b_since_year", 1600, 2100) : std::nullopt)
        trust.b_since_year = *year;
    else
        assumptions.push_back(fmt::format(
            "CATZOC B counts as C where its survey is not known to be of {} or later", trust.b_since_year));
    if (!read("bar_depth_m", trust.bar_depth_m, {0.0, 100.0}))
        left.push_back(fmt::format("sand waves under less than {:.0f} m are a bar", trust.bar_depth_m));
    const bool mouth = std::any_of(moving.begin(), moving.end(), [](const MovingEntry& entry) {
        return entry.kind == Moving::river_mouth;
    });
    if (!read("mouth_depth_m", trust.mouth_depth_m, {0.0, 100.0}) && mouth)
        left.push_back(fmt::format("a river mouth moves under less than {:.0f} m", trust.mouth_depth_m));
    if (!read("undated_years", trust.undated_years, {1.0, 500.0, "years"}))
        left.push_back(fmt::format("undated means {:.0f}", trust.undated_years));
    for (const auto& kind : kinds) {
        const auto rule = std::find_if(trust.moving.begin(), trust.moving.end(),
                                       [&](const auto& r) { return r.kind == kind.kind; });
        read_kind(table, kind, moving, *rule, left);
    }
    trust.bar_years = trust.rule(Moving::bar).years;
    if (!left.empty())
        assumptions.push_back(fmt::format("moving bottom, in years: {}", fmt::join(left, "; ")));
    return trust;
}

std::vector<MovingEntry> read_moving(const Section& head) {
    std::vector<MovingEntry> out;
    for (const Section& section : head.tables("moving")) {
        MovingEntry entry;
        entry.line = section.line();
        entry.name = section.needed_text("name", "what people call it");
        entry.kind = kind_of(section);
        read_area(section, entry);
        entry.metres_per_year = section.number("m_per_year", a_rate);
        entry.years = section.number("years", some_years);
        entry.surveyed = read_surveyed(section);
        out.push_back(std::move(entry));
    }
    return out;
}

} // namespace dangerline::plan
