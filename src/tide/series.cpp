#include "dangerline/tide/series.hpp"

#include <fmt/format.h>

#include "tide/rows.hpp"

namespace dangerline::tide {

namespace {

/// Clock times come whole seconds; an hour is not longer than an hour by rounding.
constexpr double same_time_s = 1e-3;

std::vector<Extreme> points_of(const files::Table& table, const std::optional<TimeZone>& zone) {
    table.require({"time", "height_m"});
    std::vector<Extreme> points;
    for (const auto& row : table.rows()) {
        const Extreme point{row.time("time", zone), height_of(row)};
        if (!points.empty() && point.at == points.back().at)
            row.refuse("time", "the same time as the row before", "each time once");
        if (!points.empty() && point.at < points.back().at)
            row.refuse("time", "earlier than the row before", "points in order of time");
        points.push_back(point);
    }
    if (points.size() < 2)
        refuse_table(table, fmt::format("{} points make no curve", points.size()), "two points or more");
    return points;
}

/// Rate of the parabola through three points at the middle one: the two slopes weighted crosswise.
double rate_at(const Extreme& a, const Extreme& b, const Extreme& c) {
    const double before = b.at - a.at, after = c.at - b.at;
    const double rise_before = (b.height.metres() - a.height.metres()) / before;
    const double rise_after = (c.height.metres() - b.height.metres()) / after;
    return (rise_before * after + rise_after * before) / (before + after);
}

/// Points [first, last] without a gap, one piece between neighbours: steps may differ.
void add_pieces(const std::vector<Extreme>& points, std::size_t first, std::size_t last,
                std::vector<Piece>& out) {
    const auto slope = [&](std::size_t i) { // of the chord to the next point
        return (points[i + 1].height.metres() - points[i].height.metres()) /
               (points[i + 1].at - points[i].at);
    };
    const auto rate = [&](std::size_t i) {
        if (i == first)
            return slope(first);
        return i == last ? slope(last - 1) : rate_at(points[i - 1], points[i], points[i + 1]);
    };
    for (std::size_t i = first; i < last; ++i)
        out.push_back({points[i].at,
                       points[i + 1].at - points[i].at,
                       {points[i].height.metres(), points[i + 1].height.metres()},
                       {rate(i), rate(i + 1)}});
}

} // namespace

Series series_from(const files::Table& table, const std::optional<TimeZone>& zone, double longest_s) {
    const auto points = points_of(table, zone);
    std::vector<Piece> pieces;
    std::vector<TimeSpan> gaps;
    std::size_t first = 0;
    for (std::size_t i = 1; i <= points.size(); ++i) {
        const bool end = i == points.size();
        if (!end && points[i].at - points[i - 1].at <= longest_s + same_time_s)
            continue;
        if (i - 1 > first)
            add_pieces(points, first, i - 1, pieces);
        if (!end)
            gaps.push_back({points[i - 1].at, points[i].at});
        first = i;
    }
    Series series{.datum = datum_of(table)};
    series.prediction.curve = Curve::from_pieces(std::move(pieces), points.front().at, points.back().at,
                                                 "curve of " + table.file());
    if (!gaps.empty())
        series.prediction.notes.push_back(fmt::format(
            "points of the curve are more than {:.0f} min apart {}, so heights there are unknown; "
            "the first from {} to {}",
            longest_s / 60.0, gaps.size() == 1 ? "once" : fmt::format("{} times", gaps.size()),
            to_iso_utc(gaps.front().from), to_iso_utc(gaps.front().to)));
    return series;
}

Series read_series(const std::filesystem::path& path, const std::optional<TimeZone>& zone, double longest_s) {
    return series_from(files::Table::read(path), zone, longest_s);
}

} // namespace dangerline::tide
