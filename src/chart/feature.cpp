#include "dangerline/chart/feature.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::chart {

namespace {

template <class Number>
std::optional<Number> parse(std::string_view text) {
    while (!text.empty() && (text.front() == ' ' || text.front() == '+'))
        text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ')
        text.remove_suffix(1);
    Number value{};
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc() || end != text.data() + text.size())
        return std::nullopt;
    return value;
}

} // namespace

void Attributes::set(std::string acronym, std::string text) {
    remove(acronym);
    values_.emplace_back(std::move(acronym), std::move(text));
}

void Attributes::set_number(std::string acronym, double number) {
    set(std::move(acronym), fmt::format("{}", number));
}

void Attributes::remove(std::string_view acronym) {
    std::erase_if(values_, [&](const auto& v) { return v.first == acronym; });
}

const std::string* Attributes::find(std::string_view acronym) const {
    for (const auto& [name, text] : values_)
        if (name == acronym)
            return &text;
    return nullptr;
}

bool Attributes::has(std::string_view acronym) const {
    const auto* text = find(acronym);
    return text && !text->empty();
}

std::optional<double> Attributes::number(std::string_view acronym) const {
    const auto* text = find(acronym);
    const auto value = text ? parse<double>(*text) : std::nullopt;
    return value && std::isfinite(*value) ? value : std::nullopt;
}

std::optional<int> Attributes::code(std::string_view acronym) const {
    const auto* text = find(acronym);
    return text ? parse<int>(*text) : std::nullopt;
}

std::vector<int> Attributes::codes(std::string_view acronym) const {
    std::vector<int> found;
    const auto* stored = find(acronym);
    if (!stored)
        return found;
    std::string_view text = *stored;
    // GDAL displays a list as "(2:4,17)", its count before the colon.
    if (text.starts_with('(') && text.find(':') != std::string_view::npos)
        text.remove_prefix(text.find(':') + 1);
    const char* at = text.data();
    const char* const end = at + text.size();
    while (at < end) {
        int value = 0;
        const auto [next, error] = std::from_chars(at, end, value);
        if (error == std::errc())
            found.push_back(value);
        at = error == std::errc() ? next : at + 1;
    }
    return found;
}

bool Attributes::has_code(std::string_view acronym, int code) const {
    const auto all = codes(acronym);
    return std::find(all.begin(), all.end(), code) != all.end();
}

std::string Attributes::text(std::string_view acronym) const {
    const auto* text = find(acronym);
    return text ? *text : std::string();
}

std::string name_of(const Feature& feature) {
    return feature.attributes.text("OBJNAM");
}

} // namespace dangerline::chart
