// Reads the differences of a secondary port.
#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "dangerline/tide/secondary.hpp"
#include "tide/rows.hpp"

namespace dangerline::tide {

namespace {

constexpr double most_minutes = 720.0;
constexpr double most_metres = 10.0;
constexpr double highest_m = 30.0;
constexpr double most_ratio = 10.0;
constexpr double most_hours = 14.0;
constexpr const char* items =
    "hw_time_min, lw_time_min, hw_height_m, lw_height_m, hw_ratio, lw_ratio or clock_utc_offset_h";

/// "06:30" as seconds after midnight.
double clock_at(const files::TableRow& row, const std::string& text) {
    const auto digit = [&](std::size_t i) { return text[i] >= '0' && text[i] <= '9'; };
    const bool shaped = text.size() == 5 && text[2] == ':' && digit(0) && digit(1) && digit(3) && digit(4);
    const int hour = shaped ? (text[0] - '0') * 10 + text[1] - '0' : 24;
    const int minute = shaped ? (text[3] - '0') * 10 + text[4] - '0' : 0;
    if (hour > 23 || minute > 59)
        row.refuse("at", "\"" + text + "\" is no clock time", "HH:MM from 00:00 to 23:59, or nothing");
    return hour * 3600.0 + minute * 60.0;
}

double value_within(const files::TableRow& row, double low, double high, const char* unit) {
    const double value = row.number("value");
    if (!(value >= low && value <= high))
        row.refuse("value", fmt::format("{} is out of range", value),
                   fmt::format("{} from {} to {}", unit, low, high));
    return value;
}

class Reader {
  public:
    explicit Reader(const files::Table& table) : table_(table) {}

    Differences read() {
        table_.require({"item", "at", "value"});
        result_.source = table_.file();
        for (const auto& row : table_.rows())
            take(row);
        for (const std::string tide : {"hw", "lw"})
            check_complete(tide);
        if (!clocked_.empty() && !seen_.contains("clock_utc_offset_h "))
            refuse_table(table_, "clock times without the zone they are in",
                         "a row clock_utc_offset_h, for example clock_utc_offset_h,,0");
        for (TideShift* shift : {&result_.high, &result_.low}) {
            std::sort(shift->times.begin(), shift->times.end(),
                      [](const TimeKnot& a, const TimeKnot& b) { return a.clock_s < b.clock_s; });
            std::sort(shift->heights.begin(), shift->heights.end(),
                      [](const HeightKnot& a, const HeightKnot& b) { return a.standard_m < b.standard_m; });
        }
        return result_;
    }

  private:
    void take(const files::TableRow& row) {
        const std::string& item = row.text("item");
        const std::string at = row.optional_text("at").value_or("");
        if (item == "clock_utc_offset_h") {
            note(row, item, at, "", false);
            result_.clock_utc_offset_s = value_within(row, -most_hours, most_hours, "hours") * 3600.0;
            return;
        }
        const std::string tide = item.substr(0, 3);
        if (tide != "hw_" && tide != "lw_")
            row.refuse("item", "unknown item \"" + item + "\"", items);
        TideShift& shift = tide == "hw_" ? result_.high : result_.low;
        const std::string what = item.substr(3);
        if (what == "time_min") {
            const double clock = at.empty() ? 0.0 : clock_at(row, at);
            note(row, item, at, fmt::format("{}", clock), true);
            if (!at.empty())
                clocked_.insert(item);
            shift.times.push_back({clock, value_within(row, -most_minutes, most_minutes, "minutes") * 60.0});
        } else if (what == "height_m") {
            const double level = row.optional_number("at").value_or(0.0);
            if (!(std::abs(level) <= highest_m))
                row.refuse("at", at + " m is no tide", fmt::format("metres within {}", highest_m));
            note(row, item, at, fmt::format("{}", level), true);
            shift.heights.push_back({level, value_within(row, -most_metres, most_metres, "metres")});
        } else if (what == "ratio") {
            note(row, item, at, "", false);
            shift.ratio = value_within(row, 0.0, most_ratio, "a factor");
        } else {
            row.refuse("item", "unknown item \"" + item + "\"", items);
        }
    }

    /// Remembers an item; refuses it twice for one `at`, and beside the same item without `at`.
    void note(const files::TableRow& row, const std::string& item, const std::string& at,
              const std::string& key, bool may_have_at) {
        if (!may_have_at && !at.empty())
            row.refuse("at", "\"" + at + "\" has no meaning for " + item, "nothing");
        const bool constant = at.empty();
        const bool beside = constant ? given_.contains(item) : seen_.contains(item + " ");
        if (beside || !seen_.insert(item + " " + (constant ? "" : key)).second)
            row.refuse("item", item + " is given twice for the same tide",
                       "one row without `at`, or one per `at`");
        given_.insert(item);
    }

    void check_complete(const std::string& tide) const {
        const bool ratio = given_.contains(tide + "_ratio"), height = given_.contains(tide + "_height_m");
        if (!given_.contains(tide + "_time_min"))
            refuse_table(table_, "no time difference of " + tide, "a row " + tide + "_time_min");
        if (ratio == height)
            refuse_table(table_,
                         ratio ? "both a ratio and a height difference of " + tide
                               : "no height difference of " + tide,
                         "rows " + tide + "_height_m, or one row " + tide + "_ratio");
    }

    const files::Table& table_;
    Differences result_;
    std::set<std::string> seen_;    ///< "item key"
    std::set<std::string> given_;   ///< items
    std::set<std::string> clocked_; ///< items with a clock time
};

} // namespace

Differences differences_from(const files::Table& table) {
    return Reader(table).read();
}

Differences read_differences(const std::filesystem::path& path) {
    return differences_from(files::Table::read(path));
}

} // namespace dangerline::tide
