#include "passage/tried_along.hpp"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

#include "dangerline/base/words.hpp"

namespace dangerline::passage {

namespace {

using hazard::Cause;
using hazard::Grade;

geo::Box box_of(const geo::Leg& leg) {
    return {std::min(leg.from.x, leg.to.x), std::min(leg.from.y, leg.to.y), std::max(leg.from.x, leg.to.x),
            std::max(leg.from.y, leg.to.y)};
}

/// The tide of the piece above that datum; of an object without depths above any.
std::map<int, double>::const_iterator tide_then(const TriedPiece& piece, int datum) {
    const auto found = piece.tide_m.find(datum);
    return found == piece.tide_m.end() && datum == 0 ? piece.tide_m.begin() : found;
}

/// The day the last of the objects was found that a line of survey names.
std::optional<CalendarDay> last_found(const SurveyLine& line, const hazard::Hazards& hazards) {
    std::optional<CalendarDay> last;
    for (const auto number : line.features)
        if (const auto& found = hazards.all[number].found_on)
            last = std::max(last.value_or(*found), *found);
    return last;
}

} // namespace

LowestTide lowest_met(const Judge& judge) {
    return [&judge](const geo::Span& span, int datum) -> std::optional<double> {
        if (judge.tides().unlinked(span, datum))
            return std::nullopt;
        std::optional<double> lowest;
        for (const auto& one : judge.tides().met(span, datum, Clock::doubted, false))
            lowest = std::min(lowest.value_or(one.metres), one.metres);
        return lowest;
    };
}

TriedAlong::TriedAlong(const Track& track, const std::vector<TriedRun>* runs, const Boat& boat)
    : boat_(boat) {
    if (!runs)
        return;
    for (const auto& run : *runs)
        for (const auto& piece : run.pieces) {
            const auto shape = geo::Shape::of_lines({{piece.leg.from, piece.leg.to}});
            const geo::Box near = box_of(piece.leg).grown(tried_within_m);
            for (const auto& chord : track.chords()) {
                if (!near.meets(box_of(chord.leg)))
                    continue;
                for (const auto& span : geo::reach(chord.leg, shape, tried_within_m))
                    along_.push_back({Track::to_path(chord, span), &run, &piece});
            }
        }
}

std::vector<TriedAlong::Part> TriedAlong::parts(const Spans& spans, int datum, const Object& object) const {
    std::vector<Part> out;
    for (const auto& along : along_)
        for (const auto& span : spans) {
            const geo::Span part{std::max(span.from, along.span.from), std::min(span.to, along.span.to)};
            const auto then = tide_then(*along.piece, datum);
            if (part.to < part.from || then == along.piece->tide_m.end())
                continue;
            if (object.found_on && along.run->on <= *object.found_on)
                continue;
            if (object.extent && geo::nearest(along.piece->leg, *object.extent).metres > tried_within_m)
                continue;
            const double needed = boat_.draught_m + (along.piece->sounded ? boat_.squat_m : 0.0);
            out.push_back(
                {part, then->first, needed - along.piece->water_m + then->second, along.run, along.piece});
        }
    return out;
}

TriedAlong::Proven TriedAlong::proven(const Spans& spans, int datum, const Object& object,
                                      const LowestTide& lowest) const {
    Proven out;
    std::optional<Part> least;
    const auto depth = [datum](const Part& p) {
        return p.piece->water_m - tide_then(*p.piece, datum)->second;
    };
    for (const auto& part : parts(spans, datum, object)) {
        const auto tide = lowest(part.span, part.datum);
        if (!tide || *tide < part.level_m)
            continue;
        out.spans.push_back(part.span);
        if (!least || depth(part) < depth(*least))
            least = part;
    }
    geo::join(out.spans, 1e-6);
    if (least)
        out.words = fmt::format("run by {} on {}, least water {:.1f} m{} at tide {} m", least->run->by,
                                to_text(least->run->on), least->piece->water_m,
                                least->piece->sounded ? "" : " (the draught of that boat)",
                                tenths(tide_then(*least->piece, datum)->second));
    return out;
}

TriedAlong::Proven TriedAlong::proven(const SurveyLine& line, const hazard::Hazards& hazards,
                                      const LowestTide& lowest) const {
    for (const auto number : line.features) {
        const auto& h = hazards.all[number];
        if (h.between)
            continue;
        for (const auto& step : h.steps)
            if (proven(line.spans, h.datum, {step.extent.get(), h.found_on}, lowest).spans.empty())
                return {};
    }
    return proven(line.spans, hazards.all[line.hazard].datum, {nullptr, last_found(line, hazards)}, lowest);
}

bool TriedAlong::may_ease(const hazard::Hazard& h, std::size_t step, Grade grade, Cause cause) {
    const Grade decides = h.steps[step].decides;
    if (h.old_bar)
        return grade == Grade::unknown ||
               (grade == Grade::caution && cause == Cause::position && decides == Grade::unknown);
    // A rock of a coarser chart or of an old note is a caution `survey` too, but no doubt about depths.
    return grade == Grade::caution && cause == Cause::survey &&
           (h.kind == hazard::Kind::survey || decides == Grade::danger);
}

TriedAlong::Object TriedAlong::object_of(const hazard::Hazard& h, std::size_t step) {
    const bool of_the_bottom = h.between || h.old_bar || h.kind == hazard::Kind::survey;
    return {of_the_bottom ? nullptr : h.steps[step].extent.get(), h.found_on};
}

void TriedAlong::ease(const hazard::Hazard& h, std::vector<Grading>& gradings,
                      const LowestTide& lowest) const {
    if (along_.empty())
        return;
    const std::size_t count = gradings.size();
    for (std::size_t i = 0; i < count; ++i) {
        const Grading whole = gradings[i];
        if (!may_ease(h, whole.step, whole.grade, whole.cause))
            continue;
        const auto found = proven({whole.span}, h.datum, object_of(h, whole.step), lowest);
        if (found.spans.empty())
            continue;
        Grading part = whole;
        part.grade = Grade::note;
        part.cause = Cause::none;
        part.why = found.words;
        for (const auto& span : found.spans) {
            part.span = span;
            gradings.push_back(part);
        }
        gradings[i].grade = Grade::none_found; // taken out below
        part = whole;
        for (const auto& span : without({whole.span}, found.spans)) {
            part.span = span;
            gradings.push_back(part);
        }
    }
    std::erase_if(gradings, [](const Grading& g) { return g.grade == Grade::none_found; });
}

} // namespace dangerline::passage
