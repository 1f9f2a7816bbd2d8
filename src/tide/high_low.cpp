#include "dangerline/tide/high_low.hpp"

#include <algorithm>

#include <fmt/format.h>

#include "tide/rows.hpp"

namespace dangerline::tide {

namespace {

const char* word(bool high) {
    return high ? "high" : "low";
}

bool as_high(const files::TableRow& row) {
    const std::string& kind = row.text("kind");
    if (kind != "HW" && kind != "LW")
        row.refuse("kind", "\"" + kind + "\" is no kind of tide", "HW or LW");
    return kind == "HW";
}

/// Refuses a row that can't follow the one before it.
void check_after(const HighOrLow& before, const HighOrLow& now, const files::TableRow& row) {
    if (now.at == before.at)
        row.refuse("time", "the same time as the row before", "each tide once");
    if (now.at < before.at)
        row.refuse("time", "earlier than the row before", "tides in order of time");
    if (now.is_high == before.is_high) {
        // Further apart a tide is missing: that is a gap, not a slip.
        if (now.at - before.at < longest_semidiurnal_s)
            row.refuse("kind",
                       fmt::format("two {} waters in a row, {:.1f} h apart", word(now.is_high),
                                   (now.at - before.at) / 3600.0),
                       "HW and LW in turn");
        return;
    }
    const HighOrLow &high = now.is_high ? now : before, &low = now.is_high ? before : now;
    if (high.height < low.height)
        row.refuse("height_m",
                   fmt::format("the high water of {:.2f} m is below the low water of {:.2f} m beside it",
                               high.height.metres(), low.height.metres()),
                   "kinds and heights that fit");
}

} // namespace

HighLowTable high_low_from(const files::Table& table, const std::optional<TimeZone>& zone) {
    table.require({"time", "kind", "height_m"});
    HighLowTable result{.source = table.file(), .datum = datum_of(table)};
    for (const auto& row : table.rows()) {
        const HighOrLow tide{row.time("time", zone), height_of(row), as_high(row)};
        if (!result.tides.empty())
            check_after(result.tides.back(), tide, row);
        result.tides.push_back(tide);
    }
    if (result.tides.size() < 2)
        refuse_table(table, fmt::format("{} tides make no curve", result.tides.size()),
                     "a high and a low water or more");
    return result;
}

HighLowTable read_high_low(const std::filesystem::path& path, const std::optional<TimeZone>& zone) {
    return high_low_from(files::Table::read(path), zone);
}

} // namespace dangerline::tide
