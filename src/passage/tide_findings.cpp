#include "passage/tide_findings.hpp"

#include "dangerline/base/words.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

namespace dangerline::passage {

namespace {

using hazard::Grade;

Finding finding_along(const Spans& spans, const Track& track, const Judge& judge) {
    Finding f;
    f.span = {spans.front().from, spans.back().to};
    f.length_m = length_of(spans);
    f.enter = judge.timetable().at(f.span.from);
    f.leave = judge.timetable().leave(f.span.to);
    f.place = f.on_route = track.point_at(f.span.from);
    f.nearest_at = f.span.from;
    return f;
}

/// "Lanner Bay", "Lanner Bay or Rook Quay, whichever is lower".
std::string names(const std::vector<std::size_t>& which, const Tides& tides) {
    std::string words;
    for (const std::size_t i : which) {
        const auto& name = tides.stations.at(i).name;
        words += (words.empty() ? "" : " or ") + (name.empty() ? fmt::format("station {}", i + 1) : name);
    }
    return which.size() > 1 ? words + ", whichever is lower" : words;
}

} // namespace

Finding finding_without_tide(const geo::Span& span, const Track& track, const Judge& judge,
                             const std::string& why) {
    Finding f = finding_along({span}, track, judge);
    f.grade = Grade::unknown;
    f.kind = hazard::Kind::no_data;
    f.what = "no tide to reckon with";
    f.reason = fmt::format("{}, so no depth can be judged.", why);
    return f;
}

Finding finding_of_doubtful_tide(const Spans& doubtful, const Track& track, const Judge& judge) {
    Finding f = finding_along(doubtful, track, judge);
    f.grade = Grade::caution;
    f.cause = hazard::Cause::margin;
    f.kind = hazard::Kind::depth;
    f.what = "doubtful shape of the tide";
    f.reason =
        fmt::format("Heights between high and low water are doubtful: rise and fall differ by more than "
                    "{:.1f} h.",
                    tide::rise_and_fall_differ_s / 3600.0);
    return f;
}

std::vector<Finding> findings_of_tide_steps(const Track& track, const hazard::Hazards& hazards,
                                            const Judge& judge) {
    std::vector<Finding> out;
    const auto& reaches = judge.tides().reaches();
    const auto& tides = judge.conditions().tides;
    if (hazards.cells.empty())
        return out;
    const int datum = hazards.cells.front().sounding_datum;
    const double margin = judge.conditions().doubts.time_margin_s;
    for (std::size_t i = 1; i < reaches.size(); ++i) {
        const Instant there = judge.timetable().at(reaches[i].from_m);
        for (const auto& step : tide::steps_along(tides.stations, {reaches[i - 1], reaches[i]}, datum,
                                                  there - margin, there + margin)) {
            Finding f = finding_along({{step.at_m, step.at_m}}, track, judge);
            f.grade = Grade::note;
            f.kind = hazard::Kind::depth;
            f.what = "step of the tide";
            f.reason =
                fmt::format("The tide that counts is {:.1f} m {} from here on: before by {}; after by {}.",
                            std::abs(step.step_m), step.step_m < 0.0 ? "lower" : "higher",
                            names(step.before, tides), names(step.after, tides));
            out.push_back(std::move(f));
        }
    }
    return out;
}

Finding finding_of_stream(const Timetable::NotHeld& lost, const geo::Span& span, const Track& track,
                          const Judge& judge) {
    Finding f = finding_along({span}, track, judge);
    std::string reason = capitalised(lost.reason);
    if (lost.bounded) {
        const auto& times = judge.timetable();
        const double early_min = (times.at(span.to) - times.earliest(span.to)) / 60.0;
        const double late_min = (times.latest(span.to) - times.leave(span.to)) / 60.0;
        f.grade = Grade::caution;
        f.cause = hazard::Cause::margin;
        f.kind = hazard::Kind::depth;
        f.what = "stream not known, its largest rate stated";
        f.reason =
            fmt::format("{}; with the largest rate stated the boat is up to {:.0f} min early or {:.0f} "
                        "min late, the lowest tide of that time counts.",
                        reason, early_min, late_min);
        return f;
    }
    f.grade = Grade::unknown;
    f.kind = hazard::Kind::no_data;
    f.what = "no time to reckon with";
    f.reason = reason + "; from here on no time is known.";
    return f;
}

} // namespace dangerline::passage
