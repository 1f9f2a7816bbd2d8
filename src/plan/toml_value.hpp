// A TOML document as a plain tree, so that the rest of the room (and its compile time) is free of the parser.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace dangerline::plan {

/// One value of a TOML document with the line it stands on.
struct TomlValue {
    enum class Kind { text, integer, decimal, truth, day, local_time, utc_time, list, table, other };
    Kind kind = Kind::table;
    int line = 1;        ///< counted from 1; of the key where the value has one
    double number = 0.0; ///< of integer and decimal; may be NaN or infinite
    /// Of text as it is, of a day "2026-06-01", of times "2026-06-01 06:30" with seconds where they are not 0
    /// (UTC with a Z at the end); of the rest words for messages.
    std::string text{};
    std::vector<TomlValue> items{};                           ///< of a list
    std::vector<std::pair<std::string, TomlValue>> members{}; ///< of a table, by line

    const TomlValue* find(std::string_view key) const;
    bool is_number() const { return kind == Kind::integer || kind == Kind::decimal; }
};

/// the text "0.6", the number 14, a list: for messages.
std::string describe(const TomlValue& value);

/// The text with control characters masked, cut after 60 bytes or little more: fit for a message.
std::string on_one_line(std::string_view text);
/// The same between quotes.
std::string in_quotes(std::string_view text);

/// Parses a document. Throws Failure (plan) with line, column and the parser's words where it is no TOML;
/// `file` is the name used in that message.
TomlValue parse_toml(const std::string& file, std::string_view content);

} // namespace dangerline::plan
