#include "dangerline/jobs/drift.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "dangerline/hazard/moved.hpp"
#include "jobs/drift_report.hpp"
#include "jobs/drift_scene.hpp"
#include "jobs/drift_words.hpp"
#include "jobs/scene.hpp"

namespace dangerline::jobs {

namespace {

constexpr std::uint32_t kept_tracks = 200;
constexpr double envelope_step_s = 600.0;
constexpr double shown_tracks[] = {0.05, 0.25, 0.5, 0.75, 0.95};

std::vector<DriftedBoat::Track> few_tracks(const drift::Ensemble& ensemble) {
    std::vector<std::size_t> order(ensemble.tracks.size());
    for (std::size_t i = 0; i < order.size(); ++i)
        order[i] = i;
    std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
        return ensemble.fates[a].trouble_s() < ensemble.fates[b].trouble_s();
    });
    std::vector<DriftedBoat::Track> out;
    for (const double share : shown_tracks) {
        const auto i = order[static_cast<std::size_t>(share * static_cast<double>(order.size() - 1))];
        const auto& fate = ensemble.fates[i];
        const bool entered = fate.zone_s != drift::not_reached;
        out.push_back({ensemble.tracks[i], fate.end_s, fate.end, entered, entered ? fate.zone_s : 0.0});
    }
    return out;
}

std::string stream_words(const plan::Plan& plan, const Places& places, geo::Point point, Instant at) {
    if (plan.drift.stream)
        return plan.drift.stream->words;
    if (!places.streams().map)
        return "stream not known: the plan and its charts tell of none";
    const auto there = places.streams().map->at(point, at);
    if (there.stream)
        return fmt::format("stream setting {:03.0f}° {:.1f} kn ({})", there.stream->set_deg(),
                           there.stream->rate_mps() / mps_per_knot, there.source);
    return "stream not known: " + there.reason;
}

/// Only a largest rate is known: the boat may be carried straight to the nearest danger.
std::optional<DriftedMark::Envelope> envelope_of(const plan::Plan& plan, const Places& places,
                                                 const DriftScene& scene, const DriftedMark& mark,
                                                 const sea::Wind& wind) {
    if (plan.drift.stream || !places.streams().map)
        return std::nullopt;
    const auto there = places.streams().map->at(mark.point, mark.at);
    if (there.stream || !there.bound_mps)
        return std::nullopt;
    // Whatever is not known of wind or tide may be the worst: then no time can be given.
    const Instant end = mark.at + plan.drift.lasts_s;
    double leeway = 0.0;
    bool known = true;
    for (Instant t = mark.at; t <= end; t = t + envelope_step_s) {
        const auto blows = wind.at(t);
        known = known && blows && scene.tide().at(t);
        for (const auto& boat : mark.boats)
            leeway = std::max(leeway, blows ? boat.leeway.speed(blows->speed_mps()) : 0.0);
    }
    const double tide_m = known ? scene.tide().lowest_m() : -drift::not_reached;
    // Farther off nothing was looked at.
    const double nearest = std::min(scene.dangers().nearest_zone(mark.point, tide_m), plan.drift.within_m);
    const double fastest = *there.bound_mps + leeway;
    return DriftedMark::Envelope{*there.bound_mps, nearest,
                                 !known          ? 0.0
                                 : fastest > 0.0 ? nearest / fastest
                                                 : drift::not_reached};
}

DriftedMark drift_from(const DriftReport& report, const Places& places, const PlanWind& winds,
                       const tide::Choice& choice, std::size_t number) {
    const plan::Plan& plan = report.plan;
    const AskedPlace& asked = places.asked()[number];
    DriftedMark mark{asked.name, asked.position, places.points()[number], asked.from, {}, {}, {}};
    const DriftScene scene(plan, report.plane, places, choice, places.distrust(choice),
                           square_around(mark.point, plan.drift.within_m), mark.at,
                           mark.at + plan.drift.lasts_s);
    const sea::Wind wind = winds.at(asked.position);
    mark.wind_words = wind.words();
    mark.stream_words = stream_words(plan, places, mark.point, mark.at);
    drift::EnsembleSettings settings{.particles = plan.drift.particles, .seed = plan.drift.seed};
    settings.errors = plan.drift.errors;
    settings.tracks = kept_tracks;
    settings.hourly = true;
    for (const auto& kind : drift_kinds(plan)) {
        drift::Adrift adrift = scene.adrift(mark.point, mark.at);
        adrift.leeway = kind.leeway;
        adrift.wind = &wind;
        const auto ensemble = drift::run(adrift, scene.dangers(), settings);
        DriftedBoat boat{kind.name,
                         kind.source,
                         kind.leeway,
                         kind.swamped,
                         drift::summarise(ensemble, adrift, scene.dangers()),
                         drift::outlines(ensemble),
                         few_tracks(ensemble),
                         {}};
        boat.sentences = drift_sentences(boat, mark, report);
        mark.boats.push_back(std::move(boat));
        const auto& last = mark.boats.back();
        if (!last.swamped && last.summary.trouble.early_s < mark.boats[mark.shortest].summary.trouble.early_s)
            mark.shortest = mark.boats.size() - 1;
    }
    mark.envelope = envelope_of(plan, places, scene, mark, wind);
    return mark;
}

} // namespace

void describe(const plan::Plan& plan, const Places& places, const Diagnostics& diagnostics,
              DriftReport& report) {
    report.cells = cell_notes(places.cells(), report.as_of);
    report.required_m = passage::required_water(plan.boat, plan.margins).metres();
    report.touching_m = touching_water(plan).metres();
    report.required_words = required_words(plan);
    auto notes = places.tide_notes();
    report.tide_words = places.tide_words();
    report.tide_notes = std::move(notes.lines);
    report.warnings = std::move(notes.warnings);
    report.stream_notes = places.streams().notes;
    report.hazards_tested = places.hazards().all.size();
    bool moves = false;
    for (const auto& h : places.hazards().all) {
        report.hazards.push_back({label_of(h), h.kind, h.object});
        moves = moves || hazard::moved_m(h) > 0.0;
    }
    if (moves)
        report.plan.drift_assumptions.push_back(
            "over a bottom that moves danger zones are wider by as far as it may have moved since its "
            "survey; what is touched stays where it is charted");
    report.diagnostics = diagnostics;
    sort_worst_first(report.diagnostics);
}

std::vector<tide::Choice> choices_around(Places& places, const plan::Plan& plan) {
    std::vector<tide::Choice> out;
    for (std::size_t i = 0; i < places.asked().size(); ++i)
        places.count(out.emplace_back(
            choice_around(places, places.choices()[i], places.points()[i], plan.drift.within_m)));
    return out;
}

void tell_tides(const Places& places, const std::vector<tide::Choice>& choices, DriftReport& report) {
    for (std::size_t i = 0; i < choices.size(); ++i)
        if (auto words = lowest_of_all_words(places, choices[i], places.asked()[i].name); !words.empty())
            report.tide_notes.push_back(std::move(words));
}

DriftReport run_drift(const plan::Plan& plan) {
    Diagnostics diagnostics;
    auto marks = needed_marks(plan);
    for (auto& mark : marks)
        mark.to = mark.from + plan.drift.lasts_s;
    const PlanWind winds(plan); // a missing one is refused before charts are read
    DriftReport report{plan, plane_around(marks, plan)};
    const auto first = std::min_element(marks.begin(), marks.end(),
                                        [](const auto& a, const auto& b) { return a.from < b.from; });
    report.as_of = plan.as_of.value_or(day_of(first->from));
    Places places(plan, report.plane, std::move(marks), report.as_of,
                  {plan.drift.within_m + drift_edge_m, drift_longer_s(plan)}, diagnostics);
    const auto choices = choices_around(places, plan);
    describe(plan, places, diagnostics, report);
    tell_tides(places, choices, report);
    try {
        for (std::size_t i = 0; i < places.asked().size(); ++i)
            report.marks.push_back(drift_from(report, places, winds, choices[i], i));
    } catch (const Failure& failure) {
        rethrow_with_plan(failure, plan);
    }
    return report;
}

} // namespace dangerline::jobs
