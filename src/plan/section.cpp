#include "plan/section.hpp"

#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"

#include <cmath>
#include <fmt/format.h>
#include <stdexcept>

namespace dangerline::plan {

namespace {

using Kind = TomlValue::Kind;

std::string words_of(const Range& range) {
    return range.above_low
               ? fmt::format("a number of {} above {} and at most {}", range.unit, range.low, range.high)
               : fmt::format("a number of {} from {} to {}", range.unit, range.low, range.high);
}

/// "tide[2].link" as it is written in brackets: "tide.link".
std::string as_written(const std::string& name) {
    std::string written;
    bool number = false;
    for (const char c : name) {
        number = number || c == '[';
        if (!number)
            written += c;
        number = number && c != ']';
    }
    return written;
}

} // namespace

Section::Section(const std::filesystem::path& file, const TomlValue& table, std::string name)
    : file_(file), table_(table), name_(std::move(name)) {}

std::string Section::full_name(const std::string& key) const {
    return name_.empty() ? key : name_ + "." + key;
}

void Section::refuse_at(int line, const std::string& key, const std::string& what,
                        const std::string& expected, const std::string& remedy) const {
    throw Failure(Fault::plan, {.file = file_.string(),
                                .object = fmt::format("line {}, {}", line, on_one_line(full_name(key))),
                                .what = what,
                                .expected = expected,
                                .remedy = remedy});
}

void Section::refuse(const std::string& key, const std::string& what, const std::string& expected,
                     const std::string& remedy) const {
    const TomlValue* value = find(key);
    refuse_at(value != nullptr ? value->line : table_.line, key, what, expected, remedy);
}

double Section::checked(const TomlValue& value, const std::string& key, const Range& range) const {
    if (!value.is_number())
        refuse_at(value.line, key, "wrong type: " + describe(value), words_of(range),
                  value.kind == Kind::text ? "the bare number, without quotes or unit" : "");
    const double number = value.number;
    if (!std::isfinite(number))
        refuse_at(value.line, key, describe(value) + " is not finite", words_of(range), "");
    const bool low_enough = number <= range.high;
    const bool high_enough = range.above_low ? number > range.low : number >= range.low;
    if (!low_enough || !high_enough)
        refuse_at(value.line, key, describe(value) + " is out of range", words_of(range), "");
    return number;
}

std::optional<double> Section::number(const std::string& key, const Range& range) const {
    const TomlValue* value = find(key);
    if (value == nullptr)
        return std::nullopt;
    return checked(*value, key, range);
}

double Section::needed_number(const std::string& key, const Range& range) const {
    const auto value = number(key, range);
    if (!value)
        refuse(key, "required key is missing", words_of(range));
    return *value;
}

std::optional<int> Section::whole_number(const std::string& key, int low, int high) const {
    const TomlValue* value = find(key);
    if (value == nullptr)
        return std::nullopt;
    const std::string expected = fmt::format("a whole number from {} to {}", low, high);
    if (value->kind != Kind::integer)
        refuse(key, "wrong type: " + describe(*value), expected);
    if (value->number < low || value->number > high)
        refuse(key, describe(*value) + " is out of range", expected);
    return static_cast<int>(value->number);
}

std::optional<bool> Section::flag(const std::string& key) const {
    const TomlValue* value = find(key);
    if (!value)
        return std::nullopt;
    if (value->kind != TomlValue::Kind::truth)
        refuse(key, describe(*value) + " is neither true nor false", "true or false");
    return value->text == "true";
}

std::optional<std::string> Section::text(const std::string& key) const {
    const TomlValue* value = find(key);
    if (value == nullptr)
        return std::nullopt;
    if (value->kind != Kind::text)
        refuse(key, "wrong type: " + describe(*value), "a text in quotes");
    return value->text;
}

std::string Section::needed_text(const std::string& key, const std::string& expected) const {
    const auto value = text(key);
    if (!value)
        refuse(key, "required key is missing", expected);
    return *value;
}

std::filesystem::path Section::path_of(const TomlValue& value, const std::string& key) const {
    const char* expected = "a path in quotes, relative to the plan's folder";
    if (value.kind != Kind::text)
        refuse_at(value.line, key, "wrong type: " + describe(value), expected, "");
    if (value.text.empty() || value.text.find('\0') != std::string::npos)
        refuse_at(value.line, key, in_quotes(value.text) + " names no file", expected, "");
    return (file_.parent_path() / value.text).lexically_normal();
}

std::filesystem::path Section::needed_path(const std::string& key) const {
    const TomlValue* value = find(key);
    if (value == nullptr)
        refuse(key, "required key is missing", "a path in quotes, relative to the plan's folder");
    return path_of(*value, key);
}

std::vector<std::filesystem::path> Section::needed_paths(const std::string& key) const {
    const char* expected = "a list of files and folders, like [\"chart\"]";
    const TomlValue* value = find(key);
    if (value == nullptr)
        refuse(key, "required key is missing", expected);
    if (value->kind != Kind::list)
        refuse(key, "wrong type: " + describe(*value), expected,
               value->kind == Kind::text ? "square brackets around it" : "");
    if (value->items.empty())
        refuse(key, "the list is empty", expected);
    std::vector<std::filesystem::path> paths;
    for (const TomlValue& item : value->items)
        paths.push_back(path_of(item, key));
    return paths;
}

std::vector<double> Section::numbers(const std::string& key, const Range& range) const {
    const TomlValue* value = find(key);
    if (value == nullptr)
        return {};
    if (value->kind != Kind::list)
        return {checked(*value, key, range)};
    if (value->items.empty())
        refuse(key, "the list is empty", words_of(range) + ", or a list with one per leg");
    std::vector<double> values;
    for (const TomlValue& item : value->items)
        values.push_back(checked(item, key, range));
    return values;
}

void Section::check_speed(double mps, const std::string& key, double highest_kn) const {
    if (mps > highest_kn * mps_per_knot)
        refuse(key, describe(*find(key)) + " is out of range", fmt::format("at most {} kn", highest_kn));
}

std::optional<Speed> Section::speed(const std::string& key, double highest_kn) const {
    const TomlValue* value = find(key);
    if (value == nullptr)
        return std::nullopt;
    if (value->is_number())
        refuse(key, "the unit is missing: " + describe(*value), speed_examples);
    if (value->kind != Kind::text)
        refuse(key, "wrong type: " + describe(*value), speed_examples);
    Speed speed;
    try {
        speed = parse_speed(value->text);
    } catch (const std::invalid_argument& e) {
        refuse(key, e.what(), speed_examples);
    }
    if (speed.mps <= 0.0)
        refuse(key, describe(*value) + " is out of range", "a speed above 0");
    check_speed(speed.mps, key, highest_kn);
    return speed;
}

std::optional<Wind> Section::wind(const std::string& key, double highest_kn) const {
    const TomlValue* value = find(key);
    if (value == nullptr)
        return std::nullopt;
    if (value->kind != Kind::text)
        refuse(key,
               (value->is_number() ? "direction and unit are missing: " : "wrong type: ") + describe(*value),
               wind_examples);
    Wind wind;
    try {
        wind = parse_wind(value->text);
    } catch (const std::invalid_argument& e) {
        refuse(key, e.what(), wind_examples);
    }
    check_speed(wind.mps, key, highest_kn);
    return wind;
}

std::optional<CalendarDay> Section::day(const std::string& key) const {
    const TomlValue* value = find(key);
    if (value == nullptr)
        return std::nullopt;
    const bool fits = value->kind == Kind::day || value->kind == Kind::text;
    const auto day = fits ? parse_day(value->text) : std::nullopt;
    if (!day)
        refuse(key, (fits ? "no such day: " : "wrong type: ") + describe(*value), "a date like 2026-06-01");
    return day;
}

std::optional<std::string> Section::local_time(const std::string& key, const TimeZone& zone) const {
    const TomlValue* value = find(key);
    if (value == nullptr)
        return std::nullopt;
    const std::string expected = "a time in " + zone.name() + " like \"2026-06-12 06:30\"";
    if (value->kind != Kind::text && value->kind != Kind::local_time && value->kind != Kind::utc_time)
        refuse(key, "wrong type: " + describe(*value), expected);
    try {
        (void)zone.parse(value->text);
    } catch (const std::invalid_argument& e) {
        refuse(key, e.what(), expected);
    }
    return value->text;
}

std::optional<Section> Section::table(const std::string& key) const {
    const TomlValue* value = find(key);
    if (value == nullptr)
        return std::nullopt;
    if (value->kind != Kind::table)
        refuse(key, "wrong type: " + describe(*value), "one table, [" + as_written(full_name(key)) + "]");
    return Section(file_, *value, full_name(key));
}

Section Section::needed_table(const std::string& key) const {
    auto section = table(key);
    if (!section)
        refuse(key, "required table is missing", "a table [" + full_name(key) + "]");
    return *section;
}

std::vector<Section> Section::tables(const std::string& key) const {
    const TomlValue* value = find(key);
    if (value == nullptr)
        return {};
    const std::string expected = "tables, each under [[" + as_written(full_name(key)) + "]]";
    if (value->kind != Kind::list)
        refuse(key, "wrong type: " + describe(*value), expected,
               value->kind == Kind::table ? "doubled brackets, [[" + as_written(full_name(key)) + "]]" : "");
    std::vector<Section> sections;
    for (const TomlValue& item : value->items) {
        if (item.kind != Kind::table)
            refuse_at(item.line, key, "wrong type: " + describe(item), expected, "");
        sections.emplace_back(file_, item, fmt::format("{}[{}]", full_name(key), sections.size() + 1));
    }
    return sections;
}

} // namespace dangerline::plan
