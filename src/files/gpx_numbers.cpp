#include "files/gpx_numbers.hpp"

#include <algorithm>
#include <charconv>
#include <fmt/format.h>
#include <fstream>
#include <iterator>
#include <optional>
#include <string_view>

namespace dangerline::files {

namespace {

constexpr std::string_view blanks = " \t\r\n";

std::string_view trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(blanks);
    if (first == std::string_view::npos)
        return {};
    return text.substr(first, text.find_last_not_of(blanks) - first + 1);
}

bool is_decimal(std::string_view text) {
    text = trimmed(text);
    if (text.starts_with('+') && !text.starts_with("+-"))
        text.remove_prefix(1);
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    // from_chars takes "nan" and "inf" too.
    return error == std::errc() && end == text.data() + text.size() &&
           text.find_first_of("0123456789") != std::string_view::npos;
}

/// The value of an attribute in the inside of a start tag.
std::optional<std::string_view> attribute(std::string_view tag, std::string_view name) {
    std::size_t at = tag.find_first_of(blanks);
    while (at != std::string_view::npos) {
        const auto start = tag.find_first_not_of(blanks, at);
        const auto equals = tag.find('=', at);
        const auto quote = tag.find_first_of("\"'", at);
        if (start == std::string_view::npos || equals == std::string_view::npos ||
            quote == std::string_view::npos || quote < equals)
            return std::nullopt;
        const auto close = tag.find(tag[quote], quote + 1);
        if (close == std::string_view::npos)
            return std::nullopt;
        if (trimmed(tag.substr(start, equals - start)) == name)
            return tag.substr(quote + 1, close - quote - 1);
        at = close + 1;
    }
    return std::nullopt;
}

/// Where the markup that starts at `at` (a '<') ends, one past; a '>' inside quotes does not end a tag.
std::size_t end_of_markup(std::string_view text, std::size_t at) {
    const auto after = [&](std::string_view mark) {
        const auto found = text.find(mark, at);
        return found == std::string_view::npos ? text.size() : found + mark.size();
    };
    const std::string_view rest = text.substr(at);
    if (rest.starts_with("<!--"))
        return after("-->");
    if (rest.starts_with("<![CDATA["))
        return after("]]>");
    if (rest.starts_with("<?"))
        return after("?>");
    char quote = 0;
    for (std::size_t i = at; i < text.size(); ++i) {
        if (quote)
            quote = text[i] == quote ? char(0) : quote;
        else if (text[i] == '"' || text[i] == '\'')
            quote = text[i];
        else if (text[i] == '>')
            return i + 1;
    }
    return text.size();
}

std::string_view local_name(std::string_view tag) {
    std::string_view name = tag.substr(0, tag.find_first_of(" \t\r\n/"));
    const auto colon = name.find(':');
    return colon == std::string_view::npos ? name : name.substr(colon + 1);
}

} // namespace

GpxPoints scan_gpx_points(const std::filesystem::path& path) {
    std::ifstream in(path, std::ios::binary);
    const std::string all{std::istreambuf_iterator<char>(in), {}};
    const std::string_view text = all;
    GpxPoints points;
    std::size_t line = 1;
    std::size_t counted = 0; // newlines before this offset are in `line`
    for (auto at = text.find('<'); at != std::string_view::npos;) {
        const auto end = end_of_markup(text, at);
        const std::string_view tag = text.substr(at + 1, end - at - 1);
        const auto name = local_name(tag);
        if (name == "rtept" || name == "trkpt") {
            const std::size_t number = name == "rtept" ? ++points.route_points : ++points.track_points;
            line +=
                static_cast<std::size_t>(std::count(text.begin() + static_cast<std::ptrdiff_t>(counted),
                                                    text.begin() + static_cast<std::ptrdiff_t>(at), '\n'));
            counted = at;
            for (const std::string_view key : {"lat", "lon"}) {
                const auto value = attribute(tag, key);
                if (value && is_decimal(*value))
                    continue;
                points.bad.push_back({fmt::format("{} {} (line {})", name, number, line),
                                      value ? fmt::format("{} is '{}', which is no number", key, *value)
                                            : fmt::format("{} is missing", key)});
            }
        }
        at = text.find('<', end);
    }
    return points;
}

} // namespace dangerline::files
