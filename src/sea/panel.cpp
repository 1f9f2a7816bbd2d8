#include "dangerline/sea/panel.hpp"

#include <algorithm>
#include <cmath>

#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"
#include "dangerline/files/table.hpp"

#include <fmt/format.h>

namespace dangerline::sea {

namespace {

constexpr double fastest_kn = 30.0;
constexpr double hour_s = 3600.0;

std::string trimmed(std::string_view text) {
    const auto first = text.find_first_not_of(" \t\r\n");
    return first == text.npos ? std::string()
                              : std::string(text.substr(first, text.find_last_not_of(" \t\r\n") - first + 1));
}

std::vector<std::string> parts_of(std::string_view text) {
    std::vector<std::string> parts;
    for (std::size_t at = 0; at <= text.size();) {
        const auto comma = std::min(text.find(',', at), text.size());
        parts.push_back(trimmed(text.substr(at, comma - at)));
        at = comma + 1;
    }
    return parts;
}

std::optional<double> number_of(const std::string& text) {
    try {
        std::size_t end = 0;
        const double value = std::stod(text, &end);
        return end == text.size() && std::isfinite(value) ? std::optional(value) : std::nullopt;
    } catch (const std::exception&) {
        return std::nullopt;
    }
}

/// Of the kind wanted the one nearest in time; end() where there is none.
using Tides = std::vector<tide::HighOrLow>;
Tides::const_iterator nearest(const Tides& tides, bool high, Instant t) {
    auto best = tides.end();
    for (auto it = tides.begin(); it != tides.end(); ++it)
        if (it->is_high == high && (best == tides.end() || std::abs(it->at - t) < std::abs(best->at - t)))
            best = it;
    return best;
}

/// High water nearest to t less the low water after it.
std::optional<double> range_of_day(const Tides& tides, Instant t) {
    const auto high = nearest(tides, true, t);
    if (high == tides.end() || high + 1 == tides.end() || (high + 1)->is_high)
        return std::nullopt;
    return high->height.metres() - (high + 1)->height.metres();
}

class PanelOverTides {
  public:
    PanelOverTides(const Panel& panel, const Tides& tides, const Ranges& ranges)
        : panel_(panel), tides_(tides), ranges_(ranges) {}

    std::optional<Stream> at(Instant t) const {
        // Few tides are near; looking at those alone keeps this linear in time.
        const auto begin = std::lower_bound(tides_.begin(), tides_.end(), t - near_s,
                                            [](const auto& e, Instant i) { return e.at < i; });
        const auto end = std::lower_bound(begin, tides_.end(), t + near_s,
                                          [](const auto& e, Instant i) { return e.at < i; });
        const Tides around(begin, end);
        const auto event = nearest(around, !panel_.from_low_water, t);
        if (event == around.end())
            return std::nullopt;
        const double hours = (t - event->at) / hour_s;
        if (std::abs(hours) <= 6.0)
            return in_panel(around, event->at, hours);
        return between(around, t);
    }

  private:
    static constexpr double near_s = 40.0 * hour_s;
    static constexpr double longest_gap_s = 1.5 * hour_s;

    std::optional<Stream> in_panel(const Tides& around, Instant event, double hours) const {
        const auto range = range_of_day(around, event);
        if (!range)
            return std::nullopt;
        const double position = hours + 6.0;
        const auto i = std::min<std::size_t>(static_cast<std::size_t>(position), 11);
        const double share = position - static_cast<double>(i);
        const Stream a = at_hour(i, *range), b = at_hour(i + 1, *range);
        return Stream{a.east_mps + share * (b.east_mps - a.east_mps),
                      a.north_mps + share * (b.north_mps - a.north_mps)};
    }
    Stream at_hour(std::size_t i, double range_m) const {
        const PanelHour& hour = panel_.hours[i];
        return stream_of(hour.set_deg, rate_of_day(hour, ranges_, range_m));
    }
    /// From the last hour of one tide to the first of the next.
    std::optional<Stream> between(const Tides& around, Instant t) const {
        const tide::HighOrLow *before = nullptr, *after = nullptr;
        for (const auto& e : around)
            if (e.is_high != panel_.from_low_water) {
                if (e.at <= t)
                    before = &e;
                else if (!after)
                    after = &e;
            }
        if (!before || !after)
            return std::nullopt;
        const Instant from = before->at + 6.0 * hour_s, to = after->at - 6.0 * hour_s;
        if (to - from > longest_gap_s)
            return std::nullopt;
        const auto a = in_panel(around, before->at, 6.0), b = in_panel(around, after->at, -6.0);
        if (!a || !b)
            return std::nullopt;
        const double share = (t - from) / (to - from);
        return Stream{a->east_mps + share * (b->east_mps - a->east_mps),
                      a->north_mps + share * (b->north_mps - a->north_mps)};
    }

    const Panel& panel_;
    const Tides& tides_;
    const Ranges& ranges_;
};

} // namespace

std::optional<Panel> parse_panel(std::string_view ts_tsp, std::string& why) {
    const auto parts = parts_of(ts_tsp);
    constexpr std::size_t heads = 3, pairs = 13;
    if (trimmed(ts_tsp).empty()) {
        why = "it has no panel of values (TS_TSP)";
        return std::nullopt;
    }
    if (parts.size() != heads + 2 * pairs) {
        why = fmt::format("its panel has {} entries, not 3 and 13 pairs of set and rate", parts.size());
        return std::nullopt;
    }
    Panel panel;
    panel.station = parts[1];
    if (parts[2] != "HW" && parts[2] != "LW") {
        why = "its panel does not say HW or LW";
        return std::nullopt;
    }
    panel.from_low_water = parts[2] == "LW";
    for (std::size_t i = 0; i < pairs; ++i) {
        const auto set = number_of(parts[heads + 2 * i]), rate = number_of(parts[heads + 2 * i + 1]);
        if (!set || !rate || !(*set >= 0.0 && *set <= 360.0) || !(*rate >= 0.0 && *rate <= fastest_kn)) {
            why = fmt::format("\"{},{}\" in its panel is no set and rate", parts[heads + 2 * i],
                              parts[heads + 2 * i + 1]);
            return std::nullopt;
        }
        panel.hours[i] = {*set, *rate * mps_per_knot, {}};
    }
    return panel;
}

Panel read_panel(const std::filesystem::path& path) {
    const auto table = files::Table::read(path);
    table.require({"hour", "set_deg", "springs_kn"});
    const bool neaps = table.has_column("neaps_kn");
    Panel panel;
    std::array<bool, 13> seen{};
    const auto rate = [&](const files::TableRow& row, const char* column) {
        const double kn = row.number(column);
        if (!(kn >= 0.0 && kn <= fastest_kn))
            row.refuse(column, fmt::format("found {}", row.text(column)), "knots from 0 to 30");
        return kn * mps_per_knot;
    };
    for (const auto& row : table.rows()) {
        const double hour = row.number("hour");
        if (hour != std::floor(hour) || std::abs(hour) > 6.0)
            row.refuse("hour", fmt::format("found {}", row.text("hour")), "a whole hour from -6 to 6");
        const auto i = static_cast<std::size_t>(hour + 6.0);
        if (seen[i])
            row.refuse("hour", fmt::format("hour {} stands twice", row.text("hour")), "each hour once");
        seen[i] = true;
        const double set = row.number("set_deg");
        if (!(set >= 0.0 && set <= 360.0))
            row.refuse("set_deg", fmt::format("found {}", row.text("set_deg")), "degrees true from 0 to 360");
        panel.hours[i] = {set, rate(row, "springs_kn"),
                          neaps ? std::optional(rate(row, "neaps_kn")) : std::nullopt};
    }
    if (const auto missing = std::find(seen.begin(), seen.end(), false); missing != seen.end())
        throw Failure(Fault::data, {.file = path.string(),
                                    .what = fmt::format("no row for hour {}", missing - seen.begin() - 6),
                                    .expected = "thirteen rows, hours -6 to 6"});
    return panel;
}

double rate_of_day(const PanelHour& hour, const Ranges& ranges, double range_m) {
    if (hour.neaps_mps && ranges.neaps_m) {
        const double share = (range_m - *ranges.neaps_m) / (ranges.springs_m - *ranges.neaps_m);
        return *hour.neaps_mps + std::max(share, 0.0) * (hour.springs_mps - *hour.neaps_mps);
    }
    return hour.springs_mps * std::max(range_m / ranges.springs_m, least_share_of_springs);
}

Series panel_series(const Panel& panel, const std::vector<tide::HighOrLow>& tides, const Ranges& ranges,
                    Instant from, Instant to) {
    const PanelOverTides over(panel, tides, ranges);
    return Series(from, to, [&](Instant t) { return over.at(t); });
}

} // namespace dangerline::sea
