#include "passage/contacts.hpp"

#include <algorithm>
#include <map>

#include "dangerline/base/parallel.hpp"

namespace dangerline::passage {

namespace {

bool takes_part(const Landing& landing, std::uint32_t hazard, const Chord& chord, double radius) {
    constexpr double spare_m = 1.0; // more than outside_stretch() looks beyond the radius
    const double near_m = radius + landing.slack_m + spare_m;
    return chord.from <= landing.stretch.to + near_m && chord.to >= landing.stretch.from - near_m &&
           std::binary_search(landing.joined.begin(), landing.joined.end(), hazard);
}

} // namespace

Spans spans_within(const Track& track, const std::vector<std::uint32_t>& chords, const geo::Shape& shape,
                   double extra_m, std::optional<double> within_m, const std::vector<Landing>& landings,
                   std::uint32_t hazard) {
    Spans out;
    for (const auto number : chords) {
        const Chord& chord = track.chords()[number];
        const double radius = within_m.value_or(chord.half_width_m) + extra_m;
        if (!chord.box().grown(radius).meets(shape.box()))
            continue;
        Spans spans;
        for (const auto& along : geo::reach(chord.leg, shape, radius))
            spans.push_back(Track::to_path(chord, along));
        const Spans all = spans;
        for (const auto& landing : landings)
            if (takes_part(landing, hazard, chord, radius))
                spans = common(spans, outside_stretch(landing, chord, shape, radius, all));
        out.insert(out.end(), spans.begin(), spans.end());
    }
    // Chords meet at path coordinates that differ in the last bits only.
    geo::join(out, 1e-6);
    return out;
}

namespace {

/// Steps of one extent share their spans.
void find_steps(HazardContact& contact, const Track& track, const hazard::Hazards& hazards,
                const std::vector<Landing>& landings) {
    const auto& h = hazards.all[contact.hazard];
    for (const auto& step : h.steps) {
        const auto same = std::find_if(h.steps.begin(), h.steps.end(), [&](const hazard::Step& s) {
            return &s == &step || (s.extent == step.extent && s.within_m == step.within_m);
        });
        if (&*same != &step) {
            contact.steps.push_back(contact.steps[static_cast<std::size_t>(same - h.steps.begin())]);
            continue;
        }
        const auto spans = [&](double extra) {
            return spans_within(track, contact.chords, *step.extent, extra, step.within_m, landings,
                                contact.hazard);
        };
        contact.steps.push_back(
            {spans(0.0), hazard::stands_as_charted(h, step) ? Spans{} : spans(h.allowance.position_m)});
    }
}

} // namespace

HazardContact find_contact(const Track& track, const hazard::Hazards& hazards,
                           const std::vector<Landing>& landings, std::uint32_t number,
                           std::vector<std::uint32_t> chords) {
    HazardContact contact{number, std::move(chords), {}};
    find_steps(contact, track, hazards, landings);
    return contact;
}

std::vector<HazardContact> find_contacts(const Track& track, const hazard::Hazards& hazards,
                                         const std::vector<Landing>& landings) {
    constexpr double deep_m = 50.0; // deeper water matters to no small boat, whatever its doubt
    double widest = 0.0, moved = 0.0;
    for (const auto& h : hazards.all) {
        widest = std::max(widest, h.allowance.survey_m);
        for (const auto& step : h.steps)
            moved = std::max(moved, step.moved_m);
    }
    for (const auto& zone : hazards.zones)
        widest = std::max(widest, survey::position_doubt(survey::zone_of_confidence(zone.figures()), deep_m));
    widest += moved;
    std::map<std::uint32_t, std::vector<std::uint32_t>> near;
    for (std::uint32_t c = 0; c < track.chords().size(); ++c) {
        const Chord& chord = track.chords()[c];
        for (const auto i : hazards.index->meeting(chord.box().grown(chord.half_width_m + widest)))
            near[i].push_back(c);
    }
    std::vector<HazardContact> contacts;
    for (auto& [number, chords] : near)
        contacts.push_back({number, std::move(chords), {}});
    parallel_for(
        contacts.size(), [&](std::size_t i) { find_steps(contacts[i], track, hazards, landings); }, 0, 1);
    return contacts;
}

} // namespace dangerline::passage
