#include "dangerline/sea/wind.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"
#include "dangerline/base/quantities.hpp"
#include "dangerline/files/table.hpp"

namespace dangerline::sea {

namespace {

constexpr double strongest_mps = 100.0;

struct SpeedColumn {
    const char* name;
    double mps;
};
constexpr std::array<SpeedColumn, 3> speed_columns{
    {{"speed_mps", 1.0}, {"speed_kn", mps_per_knot}, {"speed_kmh", 1000.0 / 3600.0}}};

SpeedColumn speed_column(const files::Table& table) {
    const SpeedColumn* found = nullptr;
    for (const auto& column : speed_columns)
        if (table.has_column(column.name)) {
            if (found)
                throw Failure(Fault::data,
                              {.file = table.file(),
                               .what = fmt::format("both {} and {} are given", found->name, column.name),
                               .expected = "one column of speed"});
            found = &column;
        }
    if (!found)
        throw Failure(Fault::data, {.file = table.file(),
                                    .what = "no column says how strong the wind is, with its unit",
                                    .expected = "a column speed_mps, speed_kn or speed_kmh"});
    return *found;
}

} // namespace

double at_ten_metres(double mps, double height_m) {
    return mps * std::pow(wind_reference_m / height_m, 1.0 / 7.0);
}

double WindThere::speed_mps() const {
    return std::hypot(east_mps, north_mps);
}

WindThere wind_from(double from_deg, double mps) {
    const double from = from_deg * std::numbers::pi / 180.0;
    return {-mps * std::sin(from), -mps * std::cos(from)};
}

Wind Wind::steady(double from_deg, double mps, std::string words) {
    Wind wind;
    wind.steady_ = wind_from(from_deg, mps);
    wind.words_ = std::move(words);
    return wind;
}

Wind Wind::series(std::vector<Row> rows, std::string words) {
    Wind wind;
    wind.rows_ = std::move(rows);
    wind.words_ = std::move(words);
    return wind;
}

Wind Wind::forecast(const files::VectorGrid& grid, geo::Position place) {
    std::vector<Row> rows;
    for (const Instant t : grid.times)
        if (const auto value = grid.value(place, t))
            rows.push_back({t, {value->east, value->north}});
    return series(std::move(rows), "wind forecast " + grid.source + " at the place");
}

std::optional<WindThere> Wind::at(Instant t) const {
    if (steady_)
        return steady_;
    const auto after =
        std::lower_bound(rows_.begin(), rows_.end(), t, [](const Row& row, Instant i) { return row.at < i; });
    if (after == rows_.end())
        return std::nullopt;
    if (after->at == t)
        return after->wind;
    if (after == rows_.begin() || after->at - (after - 1)->at > longest_wind_gap_s)
        return std::nullopt;
    const auto before = after - 1;
    const double share = (t - before->at) / (after->at - before->at);
    return WindThere{before->wind.east_mps + share * (after->wind.east_mps - before->wind.east_mps),
                     before->wind.north_mps + share * (after->wind.north_mps - before->wind.north_mps)};
}

std::optional<double> Wind::strongest_mps(Instant from, Instant to) const {
    const auto first = at(from), last = at(to);
    if (!first || !last)
        return std::nullopt;
    double strongest = std::max(first->speed_mps(), last->speed_mps());
    const Row* before = nullptr;
    for (const auto& row : rows_) {
        if (before && from < row.at && before->at < to && row.at - before->at > longest_wind_gap_s)
            return std::nullopt;
        if (from < row.at && row.at < to)
            strongest = std::max(strongest, row.wind.speed_mps());
        before = &row;
    }
    return strongest;
}

Wind read_wind(const std::filesystem::path& path, const std::optional<TimeZone>& zone, double height_m) {
    const auto table = files::Table::read(path);
    table.require({"time", "from_deg"});
    const auto column = speed_column(table);
    std::vector<Wind::Row> rows;
    for (const auto& row : table.rows()) {
        const double from = row.number("from_deg");
        if (!(from >= 0.0 && from <= 360.0))
            row.refuse("from_deg", fmt::format("found {}", row.text("from_deg")),
                       "degrees true from 0 to 360, where the wind comes from");
        const double mps = row.number(column.name) * column.mps;
        if (!(mps >= 0.0 && mps <= strongest_mps))
            row.refuse(column.name, fmt::format("found {}", row.text(column.name)),
                       "a wind speed from 0 to 100 m/s");
        const Instant at = row.time("time", zone);
        if (!rows.empty() && !(rows.back().at < at))
            row.refuse("time", "not after the row before", "rows in order of time, each time once");
        rows.push_back({at, wind_from(from, at_ten_metres(mps, height_m))});
    }
    if (rows.empty())
        throw Failure(Fault::data,
                      {.file = path.string(), .what = "no row of wind", .expected = "one row or more"});
    return Wind::series(std::move(rows), fmt::format("wind of {}, measured {:.0f} m over the sea",
                                                     path.filename().string(), height_m));
}

} // namespace dangerline::sea
