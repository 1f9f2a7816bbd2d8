#include "plan/words.hpp"

#include "dangerline/base/quantities.hpp"
#include "plan/toml_value.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <numeric>
#include <optional>
#include <stdexcept>

namespace dangerline::plan {

namespace {

struct Unit {
    const char* name;
    double mps;
};
constexpr std::array<Unit, 3> units{{{"kn", mps_per_knot}, {"m/s", 1.0}, {"km/h", 1000.0 / 3600.0}}};

constexpr std::array<const char*, 16> points{"N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                                             "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"};
constexpr double degrees_per_point = 360.0 / static_cast<double>(points.size());

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && (text.front() == ' ' || text.front() == '\t'))
        text.remove_prefix(1);
    while (!text.empty() && (text.back() == ' ' || text.back() == '\t'))
        text.remove_suffix(1);
    return text;
}

/// Takes a finite number off the front.
std::optional<double> take_number(std::string_view& text) {
    double value = 0.0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || !std::isfinite(value))
        return std::nullopt;
    text.remove_prefix(static_cast<std::size_t>(end - text.data()));
    return value;
}

std::optional<std::size_t> compass_point(std::string_view word) {
    std::string upper(word);
    for (char& c : upper)
        if (c >= 'a' && c <= 'z')
            c = static_cast<char>(c - 'a' + 'A');
    const auto at = std::find(points.begin(), points.end(), upper);
    if (at == points.end())
        return std::nullopt;
    return static_cast<std::size_t>(at - points.begin());
}

std::optional<double> degrees(std::string_view word) {
    constexpr std::string_view sign = "°";
    if (word.ends_with(sign))
        word.remove_suffix(sign.size());
    const auto value = take_number(word);
    if (!value || !word.empty() || !(*value >= 0.0 && *value <= 360.0))
        return std::nullopt;
    return std::fmod(*value, 360.0);
}

std::string wind_words(const std::string& from, const std::string& speed, const std::string& towards) {
    return "wind from " + from + " " + speed + ", blowing towards " + towards;
}

} // namespace

Speed parse_speed(std::string_view text) {
    std::string_view rest = trimmed(text);
    const auto value = take_number(rest);
    if (!value)
        throw std::invalid_argument(in_quotes(text) + " does not begin with a number");
    rest = trimmed(rest);
    if (rest.empty())
        throw std::invalid_argument("the unit is missing in " + in_quotes(text));
    if (rest.front() == ',')
        throw std::invalid_argument("a comma in the number of " + in_quotes(text) +
                                    "; decimals take a point");
    for (const Unit& unit : units)
        if (rest == unit.name)
            return {*value * unit.mps, fmt::format("{} {}", *value, unit.name)};
    throw std::invalid_argument("unknown unit " + in_quotes(rest));
}

Wind parse_wind(std::string_view text) {
    const std::string_view whole = trimmed(text);
    const std::size_t blank = std::min(whole.find_first_of(" \t"), whole.size());
    const std::string_view direction = whole.substr(0, blank);
    const std::string_view rest = trimmed(whole.substr(blank));
    const auto point = compass_point(direction);
    const auto from = degrees(direction);
    if (!point && !from)
        throw std::invalid_argument("no direction the wind comes from at the front of " + in_quotes(text));
    if (rest.empty() || std::string_view("-.0123456789").find(rest.front()) == std::string_view::npos)
        throw std::invalid_argument("direction or speed of the wind is missing in " + in_quotes(text));
    const Speed speed = parse_speed(rest);
    if (speed.mps < 0.0)
        throw std::invalid_argument("negative wind speed in " + in_quotes(text));
    if (point)
        return {
            static_cast<double>(*point) * degrees_per_point, speed.mps,
            wind_words(points[*point], speed.words, points[(*point + points.size() / 2) % points.size()])};
    return {*from, speed.mps,
            wind_words(fmt::format("{:03g}°", *from), speed.words,
                       fmt::format("{:03g}°", std::fmod(*from + 180.0, 360.0)))};
}

std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    std::iota(row.begin(), row.end(), std::size_t{0});
    for (std::size_t i = 0; i < a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i + 1;
        for (std::size_t j = 0; j < b.size(); ++j) {
            const std::size_t exchanged = diagonal + (a[i] == b[j] ? 0U : 1U);
            diagonal = row[j + 1];
            row[j + 1] = std::min({exchanged, row[j] + 1, row[j + 1] + 1});
        }
    }
    return row.back();
}

std::string nearest(std::string_view word, const std::vector<std::string>& words) {
    return *std::min_element(words.begin(), words.end(), [word](const std::string& a, const std::string& b) {
        return edit_distance(word, a) < edit_distance(word, b);
    });
}

} // namespace dangerline::plan
