#include "passage/tried_along.hpp"

#include <algorithm>
#include <limits>

#include <fmt/format.h>

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

} // namespace

TriedAlong::TriedAlong(const Track& track, const std::vector<TriedRun>* runs, const Judge& judge)
    : judge_(judge) {
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

bool TriedAlong::floats(const Along& along, const geo::Span& span, int datum) const {
    const auto then = tide_then(*along.piece, datum);
    if (then == along.piece->tide_m.end() || judge_.tides().unlinked(span, then->first))
        return false;
    const auto met = judge_.tides().met(span, then->first, Clock::doubted, false);
    if (met.empty())
        return false;
    double lowest = std::numeric_limits<double>::infinity();
    for (const auto& one : met)
        lowest = std::min(lowest, one.metres);
    const auto& boat = judge_.conditions().boat;
    const double needed = boat.draught_m + (along.piece->sounded ? boat.squat_m : 0.0);
    return along.piece->water_m + lowest - then->second >= needed;
}

TriedAlong::Proven TriedAlong::proven(const Spans& spans, int datum, const Object& object) const {
    Proven out;
    const Along* least = nullptr;
    const auto depth = [datum](const Along& a) {
        return a.piece->water_m - tide_then(*a.piece, datum)->second;
    };
    for (const auto& along : along_)
        for (const auto& span : spans) {
            const geo::Span part{std::max(span.from, along.span.from), std::min(span.to, along.span.to)};
            if (part.to < part.from || !floats(along, part, datum))
                continue;
            if (object.found_on && along.run->on <= *object.found_on)
                continue;
            if (object.extent && geo::nearest(along.piece->leg, *object.extent).metres > tried_within_m)
                continue;
            out.spans.push_back(part);
            if (!least || depth(along) < depth(*least))
                least = &along;
        }
    geo::join(out.spans, 1e-6);
    if (least)
        out.words = fmt::format("run by {} on {}, least water {:.1f} m{} at tide {:.1f} m", least->run->by,
                                to_text(least->run->on), least->piece->water_m,
                                least->piece->sounded ? "" : " (the draught of that boat)",
                                tide_then(*least->piece, datum)->second);
    return out;
}

bool TriedAlong::may_ease(const hazard::Hazard& h, const Grading& g) const {
    if (h.old_bar)
        return g.grade == Grade::unknown || (g.grade == Grade::caution && g.cause == Cause::position &&
                                             h.steps[g.step].decides == Grade::unknown);
    // A rock of a coarser chart or of an old note is a caution `survey` too, but no doubt about depths.
    return g.grade == Grade::caution && g.cause == Cause::survey &&
           (h.kind == hazard::Kind::survey || h.steps[g.step].decides == Grade::danger);
}

void TriedAlong::ease(const hazard::Hazard& h, std::vector<Grading>& gradings) const {
    if (along_.empty())
        return;
    const std::size_t count = gradings.size();
    for (std::size_t i = 0; i < count; ++i) {
        const Grading whole = gradings[i];
        if (!may_ease(h, whole))
            continue;
        const bool of_the_bottom = h.between || h.old_bar || h.kind == hazard::Kind::survey;
        const auto found = proven({whole.span}, h.datum,
                                  {of_the_bottom ? nullptr : h.steps[whole.step].extent.get(), h.found_on});
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
