#include "passage/landing_cases.hpp"

#include <algorithm>
#include <set>

namespace dangerline::passage {

namespace {

bool alike(const std::optional<Landing>& a, const std::optional<Landing>& b) {
    return a.has_value() == b.has_value() &&
           (!a || (a->stretch == b->stretch && a->joined == b->joined && a->slack_m == b->slack_m));
}

std::optional<Landing> at_end(const std::vector<Landing>& landings, bool at_start) {
    const auto found = std::find_if(landings.begin(), landings.end(),
                                    [&](const Landing& l) { return l.at_start == at_start; });
    return found == landings.end() ? std::nullopt : std::optional(*found);
}

/// The reach whose tide counts at an end, where check() would know a height there.
std::optional<std::size_t> reach_at(const Track& track, const hazard::Hazards& hazards, bool at_start,
                                    const SeasonTides& tides) {
    const auto& reaches = tides.reaches();
    if (reaches.empty() || hazards.cells.empty())
        return std::nullopt;
    const std::size_t reach = at_start ? 0 : reaches.size() - 1;
    if (at_start ? reaches.front().from_m > 0.0 : reaches.back().to_m < track.length())
        return std::nullopt;
    for (const auto& cell : hazards.cells)
        if (!tides.linked(reach, cell.sounding_datum))
            return std::nullopt;
    return reach;
}

/// Instants at which the lowest of the heights above any chart's datum is below the level.
TimeSet lower_than(double level_m, std::size_t reach, const hazard::Hazards& hazards, SeasonTides& tides) {
    TimeSet all;
    std::set<int> datums;
    for (const auto& cell : hazards.cells)
        if (datums.insert(cell.sounding_datum).second)
            all =
                all.united(tides.below(tides.source(reach, cell.sounding_datum), level_m, Reading::charted));
    return all;
}

void add_case(std::vector<EndCase>& cases, std::optional<Landing> landing, TideBand band) {
    if (!cases.empty() && alike(cases.back().landing, landing)) {
        cases.back().band.upper = std::move(band.upper);
        cases.back().band.topmost = band.topmost;
    } else if (band.topmost || !band.upper.without(band.lower).empty()) {
        cases.push_back({std::move(landing), std::move(band)});
    }
}

HazardContact clipped(HazardContact contact, geo::Span within) {
    for (auto& step : contact.steps) {
        Spans charted, close;
        clip_into(step.charted, within, charted);
        clip_into(step.close, within, close);
        step = {std::move(charted), std::move(close)};
    }
    return contact;
}

std::vector<Landing> both(const EndCase& start, const EndCase& end) {
    std::vector<Landing> out;
    for (const auto* one : {&start, &end})
        if (one->landing)
            out.push_back(*one->landing);
    return out;
}

const EndCase& longest(const std::vector<EndCase>& cases) {
    return *std::max_element(cases.begin(), cases.end(), [](const EndCase& a, const EndCase& b) {
        const auto length = [](const EndCase& c) {
            return c.landing ? c.landing->stretch.to - c.landing->stretch.from : 0.0;
        };
        return length(a) < length(b);
    });
}

/// Where the landing at the start no longer changes anything and that at the end does not yet; nothing where
/// the two reach into each other.
std::optional<double> between_landings(const Track& track, const hazard::Hazards& hazards,
                                       const EndCases& cases, const std::set<std::uint32_t>& joined) {
    double radius = 0.0;
    for (const auto& chord : track.chords())
        radius = std::max(radius, chord.half_width_m);
    double extra = 0.0;
    for (const auto number : joined)
        extra = std::max(extra, hazards.all[number].allowance.position_m);
    constexpr double spare_m = 1.0;
    double from = 0.0, to = track.length();
    for (const auto& one : cases.start)
        if (one.landing)
            from = std::max(from, one.landing->stretch.to + radius + extra + one.landing->slack_m + spare_m);
    for (const auto& one : cases.end)
        if (one.landing)
            to = std::min(to, one.landing->stretch.from - radius - extra - one.landing->slack_m - spare_m);
    return from <= to ? std::optional(0.5 * (from + to)) : std::nullopt;
}

} // namespace

EndCases end_cases(const Track& track, const hazard::Hazards& hazards, const Conditions& conditions,
                   SeasonTides& tides) {
    EndCases out;
    const auto levels = landing_levels(track, hazards, conditions.required);
    const auto start = reach_at(track, hazards, true, tides), end = reach_at(track, hazards, false, tides);
    const auto near = landing_spans(track);
    TimeSet start_below, end_below;
    for (std::size_t i = 0; i <= levels.size(); ++i) {
        const bool last = i == levels.size();
        // Any height inside the band: its ends are where rounding decides.
        const double height = levels.empty() ? 0.0
                              : last         ? levels.back() + 1.0
                              : i == 0       ? levels.front() - 1.0
                                             : 0.5 * (levels[i - 1] + levels[i]);
        const auto below = [&](const std::optional<std::size_t>& reach) {
            return last || !reach ? TimeSet() : lower_than(levels[i], *reach, hazards, tides);
        };
        TideBand at_start{near.front(), start_below, below(start), last};
        TideBand at_finish{near.back(), end_below, below(end), last};
        start_below = at_start.upper;
        end_below = at_finish.upper;
        if (!last && at_start.upper == at_start.lower && at_finish.upper == at_finish.lower)
            continue;
        const auto landings =
            find_landings(track, hazards, conditions.required, start ? std::optional(height) : std::nullopt,
                          end ? std::optional(height) : std::nullopt);
        add_case(out.start, at_end(landings, true), std::move(at_start));
        add_case(out.end, at_end(landings, false), std::move(at_finish));
    }
    return out;
}

std::vector<Landing> first_landings(const EndCases& cases) {
    return both(cases.start.front(), cases.end.front());
}

std::vector<CasedContact> cased_contacts(const Track& track, const hazard::Hazards& hazards,
                                         const EndCases& cases, std::vector<HazardContact> contacts,
                                         std::vector<LandingCase>& landings) {
    std::vector<CasedContact> out;
    std::set<std::uint32_t> joined;
    for (const auto* side : {&cases.start, &cases.end})
        for (const auto& one : *side)
            if (one.landing)
                joined.insert(one.landing->joined.begin(), one.landing->joined.end());
    const bool moves = cases.start.size() > 1 || cases.end.size() > 1;
    const auto middle = between_landings(track, hazards, cases, joined);
    const double length = track.length();
    for (const auto& one : cases.start)
        landings.push_back({one.band, {}});
    for (const auto& one : cases.end)
        landings.push_back({{}, one.band});
    for (auto& contact : contacts) {
        if (!moves || !joined.contains(contact.hazard)) {
            out.push_back({std::move(contact), every_case, true});
            continue;
        }
        const auto again = [&](const EndCase& start, const EndCase& end) {
            return find_contact(track, hazards, both(start, end), contact.hazard, contact.chords);
        };
        out.push_back({again(longest(cases.start), longest(cases.end)), every_case, false});
        for (std::size_t v = 0; v < cases.start.size(); ++v) {
            if (middle) {
                out.push_back({clipped(again(cases.start[v], cases.end.front()), {0.0, *middle}),
                               cases.start.size() > 1 ? v : every_case, true});
                continue;
            }
            for (std::size_t w = 0; w < cases.end.size(); ++w) {
                out.push_back({again(cases.start[v], cases.end[w]), landings.size(), true});
                landings.push_back({cases.start[v].band, cases.end[w].band});
            }
        }
        for (std::size_t w = 0; middle && w < cases.end.size(); ++w)
            out.push_back({clipped(again(cases.start.front(), cases.end[w]), {*middle, length}),
                           cases.end.size() > 1 ? cases.start.size() + w : every_case, true});
    }
    return out;
}

} // namespace dangerline::passage
