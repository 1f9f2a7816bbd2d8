#include "dangerline/passage/check.hpp"

#include <algorithm>
#include <cmath>
#include <set>

#include <fmt/format.h>

#include "passage/findings.hpp"
#include "passage/judge.hpp"
#include "passage/survey_lines.hpp"
#include "passage/tide_findings.hpp"
#include "passage/tried_along.hpp"

namespace dangerline::passage {

namespace {

using hazard::Cause;
using hazard::Grade;

/// Grades laid along the path, cut where any of them begins or ends.
class Paint {
  public:
    void add(const geo::Span& span, Grade grade, Cause cause) {
        if (grade > Grade::note)
            layers_.push_back({span, {grade, cause}});
    }

    std::vector<Stretch> stretches(double length) const {
        std::set<double> cuts{0.0, length};
        for (const auto& layer : layers_) {
            cuts.insert(layer.span.from);
            cuts.insert(layer.span.to);
        }
        std::vector<Stretch> out;
        for (auto a = cuts.begin(), b = std::next(a); b != cuts.end(); ++a, ++b) {
            Stretch stretch{{*a, *b}, marks_over({*a, *b})};
            if (!out.empty() && out.back().marks == stretch.marks)
                out.back().span.to = stretch.span.to;
            else
                out.push_back(std::move(stretch));
        }
        return out;
    }

  private:
    struct Layer {
        geo::Span span;
        Stretch::Mark mark;
    };

    std::vector<Stretch::Mark> marks_over(const geo::Span& piece) const {
        std::vector<Stretch::Mark> marks;
        for (const auto& layer : layers_)
            if (layer.span.from <= piece.from && layer.span.to >= piece.to &&
                std::find(marks.begin(), marks.end(), layer.mark) == marks.end())
                marks.push_back(layer.mark);
        std::sort(marks.begin(), marks.end(), [](const Stretch::Mark& a, const Stretch::Mark& b) {
            return a.grade != b.grade ? a.grade > b.grade : a.cause < b.cause;
        });
        return marks;
    }

    std::vector<Layer> layers_;
};

constexpr double near_land_m = 3.0 * metres_per_nautical_mile;

Tested count_tested(const Track& track, const hazard::Hazards& hazards,
                    const std::vector<HazardContact>& contacts) {
    Tested tested;
    tested.nearest_land_m = std::numeric_limits<double>::infinity();
    for (const auto& contact : contacts) {
        const auto& h = hazards.all[contact.hazard];
        tested.hazards += h.kind != hazard::Kind::no_data;
        if (h.uncovered) // the line itself, not its corridor
            tested.not_covered_m += length_of(
                spans_within(track, contact.chords, *h.steps.front().extent, 0.0, 0.0, {}, contact.hazard));
    }
    std::set<std::uint32_t> near;
    for (const auto& chord : track.chords()) {
        for (const auto i : hazards.index->meeting(chord.box().grown(metres_per_nautical_mile)))
            if (hazards.all[i].kind != hazard::Kind::no_data && hazards.all[i].kind != hazard::Kind::shore)
                near.insert(i);
        for (const auto i :
             hazards.index->meeting(chord.box().grown(std::min(near_land_m, tested.nearest_land_m))))
            if (hazards.all[i].kind == hazard::Kind::shore)
                tested.nearest_land_m =
                    std::min(tested.nearest_land_m,
                             geo::nearest(chord.leg, *hazards.all[i].steps.front().extent).metres);
    }
    tested.within_one_mile = near.size();
    return tested;
}

/// Whether the gradings hold a danger that no tide takes away.
bool at_any_tide(const hazard::Hazard& h, const std::vector<Grading>& gradings) {
    return std::any_of(gradings.begin(), gradings.end(), [&](const Grading& g) {
        return g.grade == Grade::danger && h.kind == hazard::Kind::depth &&
               !std::isfinite(h.steps[g.step].depth.metres());
    });
}

/// Whether it is in the corridor and nobody knows whether any tide covers it.
bool may_be_dry(const hazard::Hazard& h, const HazardContact& contact) {
    for (std::size_t k = 0; k < h.steps.size(); ++k)
        if (h.kind == hazard::Kind::depth && h.steps[k].decides == Grade::caution &&
            !std::isfinite(h.steps[k].depth.metres()) && !contact.steps[k].charted.empty())
            return true;
    return false;
}

std::string named(const hazard::Hazard& h) {
    return h.object.name.empty() ? h.what : fmt::format("{} \"{}\"", h.what, h.object.name);
}

/// Where the path is beside a landing that the hazard is joined to.
Spans beside(const std::vector<Landing>& landings, std::uint32_t hazard, const Track& track) {
    Spans out;
    for (const auto& landing : landings) {
        if (!std::binary_search(landing.joined.begin(), landing.joined.end(), hazard))
            continue;
        const auto& widths = track.route().half_widths_m;
        const double near_m = 2.0 * (landing.at_start ? widths.front() : widths.back());
        out.push_back({landing.stretch.from - near_m, landing.stretch.to + near_m});
    }
    geo::join(out);
    return out;
}

/// The lowest sea level in that time at an end of the route, above the datum most depths there rest on, for
/// the shore stretch; nothing where it is not known.
std::optional<double> tide_at(const Tides& tides, const tide::StationReach& reach,
                              const hazard::Hazards& hazards, Instant from, Instant to) {
    std::optional<double> lowest;
    for (const auto& cell : hazards.cells) {
        const auto there = tide::lowest_there(tides.stations, reach.choice, cell.sounding_datum, from, to);
        if (!there)
            return std::nullopt;
        lowest = std::min(lowest.value_or(there->height.metres()), there->height.metres());
    }
    return lowest;
}

std::vector<Landing> landings_of(const Track& track, const Timetable& timetable,
                                 const hazard::Hazards& hazards, const Conditions& c) {
    const auto& reaches = c.tides.reaches;
    std::optional<double> at_start, at_end;
    // The tide may fall while the boat is still on the stretch.
    const auto near = landing_spans(track);
    const auto lowest = [&](const tide::StationReach& reach, const geo::Span& span) {
        return tide_at(c.tides, reach, hazards, timetable.at(span.from), timetable.leave(span.to));
    };
    if (!reaches.empty() && reaches.front().from_m <= 0.0)
        at_start = lowest(reaches.front(), near.front());
    if (!reaches.empty() && reaches.back().to_m >= track.length())
        at_end = lowest(reaches.back(), near.back());
    return find_landings(track, hazards, c.required, at_start, at_end);
}

} // namespace

Check check(const Track& track, const Timetable& timetable, const hazard::Hazards& hazards,
            const Conditions& conditions) {
    const auto landings = landings_of(track, timetable, hazards, conditions);
    const auto contacts = find_contacts(track, hazards, landings);
    const Judge judge(track, timetable, hazards, conditions);
    const TriedAlong tried(track, conditions.tried.get(), conditions.boat);
    const LowestTide lowest = lowest_met(judge);
    Check result;
    Paint paint;
    for (const auto& contact : contacts) {
        auto gradings = judge.judge(contact, beside(landings, contact.hazard, track), result.tightest);
        tried.ease(hazards.all[contact.hazard], gradings, lowest);
        for (const auto& g : gradings)
            paint.add(g.span, g.grade, g.cause);
        result.blocked = result.blocked || at_any_tide(hazards.all[contact.hazard], gradings);
        if (result.may_block.empty() && may_be_dry(hazards.all[contact.hazard], contact))
            result.may_block = named(hazards.all[contact.hazard]);
        for (auto& f : findings_of(contact, gradings, track, hazards, judge))
            result.findings.push_back(std::move(f));
    }
    for (const auto& line : survey_lines(track, hazards, contacts, landings, judge)) {
        const auto proven = tried.proven(line, hazards, lowest);
        for (const auto& span : without(line.spans, proven.spans))
            paint.add(span, Grade::caution, Cause::survey);
        result.findings.push_back(finding_of(line, proven, track, hazards, judge));
    }
    for (const auto& landing : landings) {
        paint.add(landing.stretch, Grade::caution, Cause::assumed);
        result.findings.push_back(finding_of(landing, track, judge));
    }
    const bool distrusted = !conditions.tide_distrust.empty();
    for (const auto& span : distrusted ? Spans{{0.0, track.length()}} : judge.tides().unknown()) {
        paint.add(span, Grade::unknown, Cause::none);
        result.findings.push_back(
            finding_without_tide(span, track, judge,
                                 distrusted ? "The tide can't be relied on: " + conditions.tide_distrust
                                            : "No tide is known for this time"));
    }
    for (const auto& lost : timetable.not_held()) {
        // A boat that is not where it should be is not in time anywhere behind.
        const geo::Span span{lost.span.from, lost.bounded ? lost.span.to : track.length()};
        paint.add(span, lost.bounded ? Grade::caution : Grade::unknown,
                  lost.bounded ? Cause::margin : Cause::none);
        result.findings.push_back(finding_of_stream(lost, span, track, judge));
    }
    if (const Spans doubtful = judge.tides().doubtful(); !doubtful.empty()) {
        for (const auto& span : doubtful)
            paint.add(span, Grade::caution, Cause::margin);
        result.findings.push_back(finding_of_doubtful_tide(doubtful, track, judge));
    }
    for (auto& f : findings_of_tide_steps(track, hazards, judge))
        result.findings.push_back(std::move(f));
    rank(result.findings);
    result.stretches = paint.stretches(track.length());
    for (const auto& stretch : result.stretches)
        if (!stretch.marks.empty())
            result.worst = std::max(result.worst, stretch.marks.front().grade);
    result.tested = count_tested(track, hazards, contacts);
    return result;
}

} // namespace dangerline::passage
