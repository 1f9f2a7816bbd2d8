#include "plan/read_mark.hpp"

#include <algorithm>

#include "plan/read_tide.hpp"

namespace dangerline::plan {

namespace {

constexpr double longest_stay_h = 48.0;

MarkEntry read_mark(const Section& section, const TimeZone& zone) {
    MarkEntry mark;
    mark.line = section.line();
    mark.name = section.needed_text("name", "what people call it");
    const TomlValue* const position = section.find("position");
    if (!position)
        section.refuse("position", "required key is missing", "longitude and latitude, like [-27.88, 46.05]");
    mark.position = read_position(section, "position", *position);
    mark.at = section.local_time("at", zone);
    if (const auto hours = section.number("stay_h", {0.0, longest_stay_h, "hours", true})) {
        mark.stay_s = *hours * 3600.0;
        mark.stay_given = true;
    }
    return mark;
}

} // namespace

std::vector<MarkEntry> read_marks(const Section& head, const TimeZone& zone) {
    std::vector<MarkEntry> marks;
    for (const Section& section : head.tables("mark")) {
        MarkEntry mark = read_mark(section, zone);
        if (std::any_of(marks.begin(), marks.end(), [&](const MarkEntry& m) { return m.name == mark.name; }))
            section.refuse("name", "two marks are called " + in_quotes(mark.name), "a name of its own");
        marks.push_back(std::move(mark));
    }
    return marks;
}

} // namespace dangerline::plan
