#include "tide/rows.hpp"

#include <cmath>
#include <string>

#include <fmt/format.h>

#include "dangerline/base/error.hpp"
#include "dangerline/tide/datum.hpp"

namespace dangerline::tide {

namespace {

constexpr double highest_m = 30.0;

} // namespace

TideHeight height_of(const files::TableRow& row) {
    const double metres = row.number("height_m");
    if (!(std::abs(metres) <= highest_m))
        row.refuse("height_m", fmt::format("{} m is no tide", metres),
                   fmt::format("metres from {} to {}", -highest_m, highest_m));
    return TideHeight::from_metres(metres);
}

std::optional<int> datum_of(const files::Table& table) {
    if (!table.has_column("datum"))
        return std::nullopt;
    std::optional<int> datum;
    for (const auto& row : table.rows()) {
        const double value = row.number("datum");
        const int code = std::abs(value) < 1000.0 ? static_cast<int>(value) : 0;
        if (code != value || !datum_name(code))
            row.refuse("datum", row.text("datum") + " is no vertical datum", "an S-57 VERDAT code, 1 to 30");
        if (datum && *datum != code)
            row.refuse("datum", fmt::format("{} after {}", datum_text(code), datum_text(*datum)),
                       "one datum for the whole table");
        datum = code;
    }
    return datum;
}

void refuse_table(const files::Table& table, const std::string& what, const std::string& expected) {
    throw Failure(Fault::data, {.file = table.file(), .what = what, .expected = expected});
}

} // namespace dangerline::tide
