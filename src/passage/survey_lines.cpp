#include "passage/survey_lines.hpp"

#include <algorithm>
#include <cmath>
#include <iterator>
#include <map>
#include <numeric>

#include "dangerline/base/parallel.hpp"

namespace dangerline::passage {

namespace {

/// Steps that a lack of water puts in force, or that no tide covers, or a bottom nobody knows (the last two
/// of depth -infinity); of several with one extent the shoalest.
std::vector<std::size_t> deciding_steps(const hazard::Hazard& h) {
    std::vector<std::size_t> found;
    for (std::size_t k = 0; k < h.steps.size(); ++k) {
        const auto& step = h.steps[k];
        const bool at_any_tide =
            step.in_force == hazard::InForce::always &&
            (step.decides == hazard::Grade::danger || step.decides == hazard::Grade::unknown);
        if (step.in_force != hazard::InForce::below && !at_any_tide)
            continue;
        const auto same = std::find_if(found.begin(), found.end(), [&](std::size_t other) {
            return h.steps[other].extent == step.extent && h.steps[other].moved_m == step.moved_m;
        });
        if (same == found.end())
            found.push_back(k);
        else if (step.depth < h.steps[*same].depth)
            *same = k;
    }
    return found;
}

/// What a survey may have put in the wrong place. Not land, which no survey of depths places; not marks,
/// which are seen; not the edge of all charts, which is where it is drawn.
bool depends_on_survey(const hazard::Hazard& h) {
    switch (h.kind) {
    case hazard::Kind::depth:
        return true;
    case hazard::Kind::obstacle:
        return !h.mark;
    case hazard::Kind::no_data:
        return !h.uncovered;
    default:
        return false;
    }
}

class Lines {
  public:
    Lines(const Track& track, const hazard::Hazards& hazards, const std::vector<HazardContact>& contacts,
          const std::vector<Landing>& landings, const Judge& judge)
        : track_(track), hazards_(hazards), contacts_(contacts), landings_(landings), judge_(judge),
          every_chord_(track.chords().size()) {
        std::iota(every_chord_.begin(), every_chord_.end(), 0U);
    }

    std::vector<SurveyLine> run() const {
        const auto& zones = hazards_.zones;
        std::vector<Spans> near(zones.size());
        // A bottom that moved may have come from so much farther.
        double moved_m = 0.0;
        for (const auto& contact : contacts_)
            for (const auto& step : hazards_.all[contact.hazard].steps)
                moved_m = std::max(moved_m, step.moved_m);
        parallel_for(
            zones.size(),
            [&](std::size_t z) {
                near[z] = spans_within(track_, every_chord_, *zones[z].shape, radius_of(row_of(z)) + moved_m,
                                       {}, {}, 0);
            },
            0, 1);
        // Zones of one category ask for the same contacts.
        std::map<const survey::ZoneOfConfidence*, std::vector<StepReach>> reached;
        for (std::size_t z = 0; z < zones.size(); ++z)
            if (!near[z].empty() && !reached.contains(&row_of(z)))
                reached.emplace(&row_of(z), reached_by(row_of(z)));
        std::vector<SurveyLine> lines;
        for (std::size_t z = 0; z < zones.size(); ++z) {
            if (near[z].empty())
                continue;
            SurveyLine line;
            line.zone = z;
            line.water_m = std::numeric_limits<double>::infinity();
            for (const auto& one : reached.at(&row_of(z)))
                for (const auto& span : common(one.spans, near[z]))
                    add_span(one.hazard, one.step, span, row_of(z), line);
            geo::join(line.spans, 1e-6);
            if (!line.spans.empty())
                lines.push_back(std::move(line));
        }
        return lines;
    }

  private:
    /// Where the path comes within the doubt of a survey of a step that may matter.
    struct StepReach {
        std::uint32_t hazard = 0;
        std::size_t step = 0;
        Spans spans;
    };

    const survey::ZoneOfConfidence& row_of(std::size_t zone) const {
        return survey::zone_of_confidence(hazards_.zones[zone].figures());
    }
    /// The share of depth in A1 matters where it is shoal only: taken at the required water.
    double radius_of(const survey::ZoneOfConfidence& row) const {
        return survey::position_doubt(row, judge_.conditions().required.metres());
    }

    std::vector<StepReach> reached_by(const survey::ZoneOfConfidence& row) const {
        std::vector<std::vector<StepReach>> of_contact(contacts_.size());
        parallel_for(
            contacts_.size(), [&](std::size_t i) { of_contact[i] = reached_by(row, contacts_[i]); }, 0, 1);
        std::vector<StepReach> out;
        for (auto& some : of_contact)
            std::move(some.begin(), some.end(), std::back_inserter(out));
        return out;
    }

    std::vector<StepReach> reached_by(const survey::ZoneOfConfidence& row,
                                      const HazardContact& contact) const {
        std::vector<StepReach> out;
        const auto& h = hazards_.all[contact.hazard];
        if (!depends_on_survey(h))
            return out;
        for (const std::size_t k : deciding_steps(h)) {
            if (!may_matter(contact, k, row))
                continue;
            Spans spans = spans_within_doubt(contact, k, radius_of(row));
            if (!h.between)
                spans = without(spans, contact.steps[k].charted);
            if (!spans.empty())
                out.push_back({contact.hazard, k, std::move(spans)});
        }
        return out;
    }

    /// As close as the contact already tells where the survey adds nothing to the doubt of the place.
    Spans spans_within_doubt(const HazardContact& contact, std::size_t k, double survey_m) const {
        const auto& h = hazards_.all[contact.hazard];
        const auto& step = h.steps[k];
        const double doubt_m = survey_m + step.moved_m;
        if (doubt_m == h.allowance.position_m && !step.within_m)
            return contact.steps[k].close;
        return spans_within(track_, contact.chords, *step.extent, doubt_m, {}, landings_, contact.hazard);
    }

    void add_span(std::uint32_t number, std::size_t k, const geo::Span& span,
                  const survey::ZoneOfConfidence& row, SurveyLine& line) const {
        const auto& h = hazards_.all[number];
        const double depth = h.steps[k].depth.metres();
        const double survey_m =
            std::isfinite(depth) ? std::max(row.depth.at(depth), h.allowance.souacc_m) : row.depth.a_m;
        TideMet met;
        if (std::isfinite(depth)) {
            const auto found = judge_.tide(h, span, Clock::doubted, survey_m);
            if (!found)
                return;
            met = *found;
        } else if (!knows_tide(span)) { // without a height no datum matters, but what no tide is known for
            return;                     // is unknown already
        }
        const double doubt = std::isfinite(depth) ? judge_.doubt(met, survey_m, h.datum) : 0.0;
        const double water = depth + met.metres;
        if (!(water - doubt < judge_.conditions().required.metres()))
            return;
        // A depth says more than a pier: the least water is shown of depths where there are any.
        const bool shows_depth = h.kind == hazard::Kind::depth;
        const bool shown_depth = !line.spans.empty() && hazards_.all[line.hazard].kind == hazard::Kind::depth;
        const bool first = line.spans.empty();
        line.spans.push_back(span);
        line.moved_m = std::max(line.moved_m, h.steps[k].moved_m);
        if (!h.between && !h.object.lnam.empty() &&
            std::find(line.features.begin(), line.features.end(), number) == line.features.end())
            line.features.push_back(number);
        if (first || (shows_depth && !shown_depth) ||
            (shows_depth == shown_depth && water - doubt < line.water_m - line.doubt_m)) {
            line.hazard = number;
            line.step = k;
            line.tide = met;
            line.water_m = water;
            line.doubt_m = doubt;
        }
    }

    bool knows_tide(const geo::Span& span) const {
        Spans known;
        clip_into(judge_.tides().known(), span, known);
        return !known.empty();
    }

    /// Cheap test before any geometry: no water while the boat is near is low enough.
    bool may_matter(const HazardContact& contact, std::size_t k, const survey::ZoneOfConfidence& row) const {
        const auto& h = hazards_.all[contact.hazard];
        const double depth = h.steps[k].depth.metres();
        if (!std::isfinite(depth))
            return true;
        const double survey_m = std::max(row.depth.at(depth), h.allowance.souacc_m);
        return std::any_of(contact.chords.begin(), contact.chords.end(), [&](std::uint32_t number) {
            const Chord& chord = track_.chords()[number];
            const geo::Span span{chord.from, chord.to};
            judge_.require_link(h, span);
            auto all = judge_.tides().met(span, h.datum, Clock::doubted, false);
            return std::any_of(all.begin(), all.end(), [&](TideMet& met) {
                // The greatest rate is not known here; 10 m an hour is beyond any tide, where a bore has no
                // rate at all.
                met.rate_mps = 10.0 / 3600.0;
                return depth + met.metres - judge_.doubt(met, survey_m, h.datum) <
                       judge_.conditions().required.metres();
            });
        });
    }

    const Track& track_;
    const hazard::Hazards& hazards_;
    const std::vector<HazardContact>& contacts_;
    const std::vector<Landing>& landings_;
    const Judge& judge_;
    std::vector<std::uint32_t> every_chord_;
};

} // namespace

std::vector<SurveyLine> survey_lines(const Track& track, const hazard::Hazards& hazards,
                                     const std::vector<HazardContact>& contacts,
                                     const std::vector<Landing>& landings, const Judge& judge) {
    return Lines(track, hazards, contacts, landings, judge).run();
}

} // namespace dangerline::passage
