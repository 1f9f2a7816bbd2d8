#include "passage/season_run.hpp"

#include <algorithm>
#include <utility>

#include "dangerline/base/parallel.hpp"

namespace dangerline::passage {

Mapper::Mapper(const Voyage& voyage, const std::vector<LandingCase>& landings, const Interval& departures)
    : voyage_(voyage), departures_(departures) {
    for (const auto& landing : landings) {
        TimeSet possible(departures);
        if (landing.start)
            possible = possible.common(departures_of(*landing.start));
        if (landing.end)
            possible = possible.common(departures_of(*landing.end));
        of_landing_.push_back(std::move(possible));
    }
}

TimeSet Mapper::departures_of(const TideBand& band) const {
    const auto meeting = [&](const TimeSet& times) {
        std::vector<Interval> found;
        map(band.span, times, found);
        return TimeSet::of_any(std::move(found));
    };
    return (band.topmost ? TimeSet(departures_) : meeting(band.upper)).without(meeting(band.lower));
}

void Mapper::map(const geo::Span& span, const TimeSet& times, std::vector<Interval>& out) const {
    const auto keep = [&](Instant first, Instant last) {
        const Interval when{std::max(first, departures_.from), std::min(last, departures_.to)};
        if (when.from < when.to)
            out.push_back(when);
    };
    if (voyage_.steady()) {
        const Instant start = departures_.from;
        const double reached_s = voyage_.reach(span.from, start) - start;
        const double left_s = voyage_.leave(span.to, start) - start;
        for (const auto& t : times.intervals())
            keep(t.from - left_s, t.to - reached_s);
        return;
    }
    std::vector<Instant> first, last;
    for (const auto& t : times.intervals()) {
        first.push_back(t.from);
        last.push_back(t.to);
    }
    voyage_.departures_leaving(span.to, first);
    voyage_.departures_reaching(span.from, last);
    for (std::size_t i = 0; i < first.size(); ++i)
        keep(first[i], last[i]);
}

std::vector<Interval> Mapper::closed_by(const Condition& condition, const TimeSet& times) const {
    std::vector<Interval> found;
    if (condition.landing != every_case && of_landing_[condition.landing].empty())
        return found;
    if (condition.when == Condition::When::departures) {
        found = times.common(TimeSet(departures_)).intervals();
    } else if (condition.when == Condition::When::spell) {
        // Who waits at a mark has no leg to hold: see Voyage::Spell.
        for (const auto& t : times.intervals())
            found.push_back(
                {std::max(voyage_.departure_reaching(condition.span.to, t.from), departures_.from),
                 std::min(voyage_.departure_leaving(condition.span.from, t.to), departures_.to)});
    } else {
        found.reserve(times.intervals().size());
        map(condition.span, times, found);
    }
    if (condition.landing != every_case)
        found = TimeSet::of_any(std::move(found)).common(of_landing_[condition.landing]).intervals();
    return found;
}

const TimeSet& times_of(const Condition& condition, SeasonTides& tides, Reading reading, double lower_m) {
    switch (condition.when) {
    case Condition::When::below:
        return tides.below(condition.source, condition.level_m - lower_m, reading);
    case Condition::When::above:
        return tides.above(condition.source, condition.level_m, reading);
    case Condition::When::during:
    case Condition::When::spell:
    case Condition::When::departures:
        return *condition.during;
    case Condition::When::always:
        break;
    }
    return tides.always();
}

void prepare_times(const std::vector<const Condition*>& conditions, SeasonTides& tides, Reading reading,
                   double lower_m) {
    std::vector<SeasonTides::Level> levels, of_cases;
    for (const auto* c : conditions)
        if (c->when == Condition::When::below)
            (c->landing == every_case ? levels : of_cases).push_back({c->source, c->level_m - lower_m});
    tides.prepare_below(levels, reading);
    tides.prepare_below(of_cases, Reading::charted); // how doubtful a shore stretch is stands in its cases
}

std::vector<Tag> closings(const std::vector<Condition>& conditions, const Mapper& mapper, SeasonTides& tides,
                          Reading reading, double lower_m) {
    std::vector<const Condition*> counted;
    const bool shut = std::any_of(conditions.begin(), conditions.end(), [&](const Condition& c) {
        return c.when == Condition::When::always && c.landing == every_case &&
               (c.charted || reading != Reading::charted);
    });
    for (const auto& condition : conditions)
        // What is met at any time closes everything; the rest adds nothing to that.
        if ((condition.charted || reading != Reading::charted) &&
            (!shut || (condition.when == Condition::When::always && condition.landing == every_case)))
            counted.push_back(&condition);
    // Levels first: they are kept for the next reading.
    prepare_times(counted, tides, reading, lower_m);
    std::vector<std::pair<const Condition*, const TimeSet*>> wanted;
    for (const auto* c : counted)
        wanted.emplace_back(
            c, &times_of(*c, tides, c->landing == every_case ? reading : Reading::charted, lower_m));
    std::vector<std::vector<Tag>> found(wanted.size());
    const auto close = [&](std::size_t i) {
        const auto& [condition, times] = wanted[i];
        for (const auto& when : mapper.closed_by(*condition, *times))
            if (when.from < when.to)
                found[i].push_back({when, condition->reason});
    };
    if (mapper.voyage().steady()) // too little to part it
        for (std::size_t i = 0; i < wanted.size(); ++i)
            close(i);
    else
        parallel_for(wanted.size(), close);
    std::vector<Tag> out;
    std::size_t count = 0;
    for (const auto& tags : found)
        count += tags.size();
    out.reserve(count);
    for (const auto& tags : found)
        out.insert(out.end(), tags.begin(), tags.end());
    return out;
}

namespace {

/// By beginning, the longer first. Dealt into hours before they are sorted: many closures, few an hour.
void sort_by_begin(std::vector<Tag>& tags, const Interval& departures) {
    constexpr double hour_s = 3600.0;
    const auto hour_of = [&](const Tag& tag) {
        return static_cast<std::size_t>((tag.when.from - departures.from) / hour_s);
    };
    std::vector<std::size_t> first(static_cast<std::size_t>(departures.length_s() / hour_s) + 3, 0);
    for (const auto& tag : tags)
        ++first[hour_of(tag) + 1];
    for (std::size_t i = 1; i < first.size(); ++i)
        first[i] += first[i - 1];
    std::vector<Tag> dealt(tags.size());
    std::vector<std::size_t> next = first;
    for (const auto& tag : tags)
        dealt[next[hour_of(tag)]++] = tag;
    for (std::size_t i = 0; i + 1 < first.size(); ++i)
        std::sort(dealt.begin() + static_cast<std::ptrdiff_t>(first[i]),
                  dealt.begin() + static_cast<std::ptrdiff_t>(first[i + 1]), [](const Tag& a, const Tag& b) {
                      return a.when.from != b.when.from ? a.when.from < b.when.from : a.when.to > b.when.to;
                  });
    tags = std::move(dealt);
}

} // namespace

std::vector<Closed> merged(std::vector<Tag> tags, const Interval& departures) {
    for (auto& tag : tags)
        tag.when = {std::max(tag.when.from, departures.from), std::min(tag.when.to, departures.to)};
    std::erase_if(tags, [](const Tag& t) { return !(t.when.from < t.when.to); });
    sort_by_begin(tags, departures);
    std::vector<Closed> out;
    double longest = 0.0;
    for (const auto& tag : tags) {
        if (out.empty() || out.back().when.to < tag.when.from) {
            out.push_back({tag.when, tag.reason, tag.reason, tag.reason});
            longest = tag.when.length_s();
            continue;
        }
        Closed& last = out.back();
        if (tag.when.to > last.when.to) {
            last.when.to = tag.when.to;
            last.ends = tag.reason;
        }
        if (tag.when.length_s() > longest) {
            longest = tag.when.length_s();
            last.most = tag.reason;
        }
    }
    return out;
}

TimeSet set_of(const std::vector<Closed>& closed) {
    std::vector<Interval> all;
    all.reserve(closed.size());
    for (const auto& c : closed)
        all.push_back(c.when);
    return TimeSet::of_any(std::move(all));
}

std::vector<Closed> SeasonRun::closed(double lower_m) const {
    auto tags = closings(conditions.visible, full, tides, Reading::charted, lower_m);
    for (auto& tag : closings(full_own, full, tides, Reading::charted))
        tags.push_back(tag);
    return merged(std::move(tags), ask.departures);
}

std::vector<Closed> SeasonRun::not_offered(double lower_m) const {
    const auto& sure = ask.robustness;
    auto tags = closings(conditions.visible, full, tides, Reading::margin, lower_m);
    const auto survive = [&](const std::vector<Condition>& of, const Mapper& mapper) {
        for (Tag tag : closings(of, mapper, tides, Reading::doubted, lower_m)) {
            // A departure planned for t comes out between t - early and t + late.
            tag.when = {tag.when.from - sure.late_s, tag.when.to + sure.early_s};
            tags.push_back(tag);
        }
    };
    survive(conditions.visible, full);
    survive(full_own, full);
    survive(conditions.visible, slow);
    survive(slow_own, slow);
    return merged(std::move(tags), ask.departures);
}

TimeSet SeasonRun::offered(const std::vector<Closed>& not_offered) const {
    return set_of(not_offered).complement(ask.departures);
}

} // namespace dangerline::passage
