#include "plan/toml_value.hpp"

#include "dangerline/base/error.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <toml++/toml.h>

namespace dangerline::plan {

namespace {

using Kind = TomlValue::Kind;

std::string day_text(const toml::date& d) {
    return fmt::format("{:04}-{:02}-{:02}", d.year, d.month, d.day);
}

/// Fractions of a second are shown, so that whoever reads the text as a time refuses them.
std::string time_text(const toml::time& t) {
    std::string text = fmt::format("{:02}:{:02}", t.hour, t.minute);
    if (t.second != 0 || t.nanosecond != 0)
        text += fmt::format(":{:02}", t.second);
    if (t.nanosecond != 0)
        text += fmt::format(".{:09}", t.nanosecond);
    return text;
}

void set_date_time(TomlValue& value, const toml::date_time& t) {
    value.text = day_text(t.date) + " " + time_text(t.time);
    if (!t.offset) {
        value.kind = Kind::local_time;
    } else if (t.offset->minutes == 0) {
        value.kind = Kind::utc_time;
        value.text += "Z";
    } else {
        value.kind = Kind::other;
        value.text = "a time with an offset from UTC";
    }
}

int line_of(const toml::source_region& source, int otherwise) {
    return source.begin.line > 0 ? static_cast<int>(source.begin.line) : otherwise;
}

TomlValue convert(const toml::node& node, int line);

void set_members(TomlValue& value, const toml::table& table) {
    for (const auto& [key, member] : table) {
        // A table written under its own header stands where the header does, not where the key was first
        // seen.
        const int line = line_of(member.source(), line_of(key.source(), value.line));
        value.members.emplace_back(std::string(key.str()),
                                   convert(member, member.is_table() || member.is_array_of_tables()
                                                       ? line
                                                       : line_of(key.source(), line)));
    }
    std::stable_sort(value.members.begin(), value.members.end(),
                     [](const auto& a, const auto& b) { return a.second.line < b.second.line; });
}

TomlValue convert(const toml::node& node, int line) {
    TomlValue value;
    value.line = line;
    if (const auto* table = node.as_table()) {
        set_members(value, *table);
    } else if (const auto* list = node.as_array()) {
        value.kind = Kind::list;
        for (const toml::node& item : *list)
            value.items.push_back(convert(item, line_of(item.source(), line)));
    } else if (const auto* text = node.as_string()) {
        value.kind = Kind::text;
        value.text = text->get();
    } else if (const auto* integer = node.as_integer()) {
        value.kind = Kind::integer;
        value.number = static_cast<double>(integer->get());
    } else if (const auto* decimal = node.as_floating_point()) {
        value.kind = Kind::decimal;
        value.number = decimal->get();
    } else if (const auto* truth = node.as_boolean()) {
        value.kind = Kind::truth;
        value.text = truth->get() ? "true" : "false";
    } else if (const auto* day = node.as_date()) {
        value.kind = Kind::day;
        value.text = day_text(day->get());
    } else if (const auto* time = node.as_date_time()) {
        set_date_time(value, time->get());
    } else {
        value.kind = Kind::other;
        value.text = "a time of day without its date";
    }
    return value;
}

} // namespace

const TomlValue* TomlValue::find(std::string_view key) const {
    const auto at =
        std::find_if(members.begin(), members.end(), [key](const auto& m) { return m.first == key; });
    return at == members.end() ? nullptr : &at->second;
}

std::string on_one_line(std::string_view text) {
    constexpr std::size_t longest = 60;
    std::string shown;
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        // Cut between characters of UTF-8, not inside one.
        if (shown.size() >= longest && (byte & 0xC0U) != 0x80U) {
            shown += "...";
            break;
        }
        shown += byte < 0x20 || byte == 0x7F ? '?' : c;
    }
    return shown;
}

std::string in_quotes(std::string_view text) {
    return '"' + on_one_line(text) + '"';
}

std::string describe(const TomlValue& value) {
    switch (value.kind) {
    case Kind::text:
        return "the text " + in_quotes(value.text);
    case Kind::integer:
    case Kind::decimal:
        return fmt::format("the number {}", value.number);
    case Kind::truth:
        return "the word " + value.text;
    case Kind::day:
        return "the date " + value.text;
    case Kind::local_time:
    case Kind::utc_time:
        return "the time " + value.text;
    case Kind::list:
        return value.items.empty() ? "an empty list" : "a list";
    case Kind::table:
        return "a table";
    case Kind::other:
        break;
    }
    return value.text;
}

TomlValue parse_toml(const std::string& file, std::string_view content) {
    try {
        const toml::table table = toml::parse(content, std::string_view(file));
        return convert(table, 1);
    } catch (const toml::parse_error& e) {
        const auto& at = e.source().begin;
        std::string words(e.description());
        std::replace_if(
            words.begin(), words.end(), [](char c) { return static_cast<unsigned char>(c) < 0x20; }, ' ');
        throw Failure(Fault::plan, {.file = file,
                                    .object = fmt::format("line {}, column {}", at.line, at.column),
                                    .what = "the plan is no TOML: " + words,
                                    .expected = "a text file in TOML 1.0",
                                    .remedy = "look for a missing quote, bracket or equals sign there"});
    }
}

} // namespace dangerline::plan
