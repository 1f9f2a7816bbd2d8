#include "dangerline/chart/dates.hpp"

#include <algorithm>
#include <charconv>

#include <fmt/format.h>

namespace dangerline::chart {

namespace {

bool digits(std::string_view text) {
    return !text.empty() &&
           std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

int number(std::string_view text) {
    int value = 0;
    std::from_chars(text.data(), text.data() + text.size(), value);
    return value;
}

} // namespace

std::string plain_date(std::string_view text) {
    while (!text.empty() && text.front() == ' ')
        text.remove_prefix(1);
    while (!text.empty() && text.back() == ' ')
        text.remove_suffix(1);
    const bool month = text.size() == 7 && text[4] == '-';
    const bool day = text.size() == 10 && text[4] == '-' && text[7] == '-';
    if (!month && !day)
        return std::string(text);
    std::string plain(text);
    std::erase(plain, '-');
    return digits(plain) && plain.size() == (month ? 6U : 8U) ? plain : std::string(text);
}

std::optional<CalendarDay> latest_day_of(std::string_view date) {
    if (!digits(date) || (date.size() != 4 && date.size() != 6 && date.size() != 8))
        return std::nullopt;
    const int year = number(date.substr(0, 4));
    const int month = date.size() >= 6 ? number(date.substr(4, 2)) : 12;
    if (year < 1600 || year > 2100)
        return std::nullopt;
    const auto day = [&](int d) { return parse_day(fmt::format("{:04}-{:02}-{:02}", year, month, d)); };
    if (date.size() == 8)
        return day(number(date.substr(6, 2)));
    for (int last = 31; last >= 28; --last)
        if (const auto found = day(last))
            return found;
    return std::nullopt;
}

} // namespace dangerline::chart
