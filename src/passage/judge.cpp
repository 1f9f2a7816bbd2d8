#include "passage/judge.hpp"

#include "dangerline/base/error.hpp"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "passage/daylight.hpp"

namespace dangerline::passage {

namespace {

using hazard::Cause;
using hazard::Grade;
using hazard::Hazard;
using hazard::InForce;
using hazard::Step;

/// Of the tides of several reaches the one that is furthest, by `metres` of each.
template <typename Metres>
std::optional<TideMet> least(const std::vector<TideMet>& met, const Metres& metres) {
    const auto at = std::min_element(
        met.begin(), met.end(), [&](const TideMet& a, const TideMet& b) { return metres(a) < metres(b); });
    return at == met.end() ? std::nullopt : std::optional(*at);
}

} // namespace

Judge::Judge(const Track& track, const Timetable& timetable, const hazard::Hazards& hazards,
             const Conditions& conditions)
    : track_(track), timetable_(timetable), hazards_(hazards), conditions_(conditions),
      tides_(timetable, track.length(), conditions), held_to_(timetable.held_to()) {}

void Judge::require_link(const Hazard& h, geo::Span span) const {
    const tide::Station* station = tides_.unlinked(span, h.datum);
    if (!station)
        return;
    const auto& source = station->datums.source_code;
    throw Failure(
        Fault::plan,
        {.object = station->name.empty() ? "tide" : "tide \"" + station->name + "\"",
         .what = fmt::format("heights are above {}, but {} {} of cell {} is charted against {}",
                             source ? "datum " + tide::datum_text(*source) : "an unstated datum",
                             h.object.cls, h.object.lnam, h.object.cell, tide::datum_text(h.datum)),
         .expected = "the number of metres between the two",
         .remedy = fmt::format("add [[tide.link]] with code = {} and below_m or above_m", h.datum)});
}

std::optional<TideMet> Judge::tide(const Hazard& h, geo::Span span, Clock clock,
                                   std::optional<double> survey_m) const {
    require_link(h, span);
    return least(tides_.met(span, h.datum, clock, false), [&](const TideMet& met) {
        return met.metres - (survey_m ? doubt(met, *survey_m, h.datum) : 0.0);
    });
}

double Judge::doubt(const TideMet& tide, double survey_m, int datum) const {
    const double time_m = tide.rate_mps * tide.time_doubt_s;
    const double independent =
        std::sqrt(tide.height_doubt_m * tide.height_doubt_m + time_m * time_m + survey_m * survey_m);
    const bool approximate = tide.approximate_datum || tide::is_approximate(datum);
    return independent + (approximate ? tide::approximate_datum_doubt_m : 0.0);
}

void Judge::below_spans(const Hazard& h, std::size_t k, const Spans& spans, Clock clock, double survey_m,
                        bool doubted, Grading as, std::vector<Grading>& out) const {
    const double depth = h.steps[k].depth.metres();
    as.step = k;
    const bool at_any_tide = !std::isfinite(depth);
    for (const auto& span : spans) {
        as.span = span;
        as.tide = at_any_tide ? std::nullopt
                              : tide(h, span, clock, doubted ? std::optional(survey_m) : std::nullopt);
        if (!at_any_tide) {
            if (!as.tide)
                continue;
            const double lack = doubted ? doubt(*as.tide, survey_m, h.datum) : 0.0;
            if (!(depth + as.tide->metres - lack < conditions_.required.metres()))
                continue;
        }
        out.push_back(as);
    }
}

void Judge::judge_below(const Hazard& h, std::size_t k, const StepContact& c,
                        std::vector<Grading>& out) const {
    const Step& step = h.steps[k];
    const double survey_m =
        std::isfinite(step.depth.metres()) ? h.allowance.depth_doubt(step.depth.metres()) : 0.0;
    const auto graded = [](Grade grade, Cause cause) { return Grading{grade, cause, 0, {}, {}, {}}; };
    if (step.decides == Grade::danger) {
        below_spans(h, k, c.charted, Clock::as_reckoned, 0.0, false, graded(Grade::danger, Cause::none), out);
        below_spans(h, k, c.charted, Clock::doubted, 0.0, true, graded(Grade::caution, Cause::margin), out);
        below_spans(h, k, c.close, Clock::doubted, 0.0, true, graded(Grade::caution, Cause::position), out);
    } else {
        below_spans(h, k, c.close, Clock::doubted, 0.0, true, graded(step.decides, step.cause), out);
    }
    // Bottom between charted features has its survey doubt said once per quality zone instead, and a note
    // (the better chart shows the same) stays one.
    if (!h.between && step.decides > Grade::note)
        below_spans(h, k, c.charted, Clock::doubted, survey_m, true, graded(Grade::caution, Cause::survey),
                    out);
}

void Judge::tighten(const Hazard& h, std::size_t k, const Spans& charted,
                    std::optional<Passing>& passing) const {
    const Step& step = h.steps[k];
    if (!std::isfinite(step.depth.metres()))
        return;
    // Where there is a surface it tells more than the two ends of the range.
    if (h.surface && (step.decides != Grade::danger || step.depth.metres() >= h.surface->deepest()))
        return;
    const double survey_m = h.allowance.depth_doubt(step.depth.metres());
    for (const auto& whole : charted) {
        const geo::Span span{whole.from, std::min(whole.to, held_to_)};
        const auto met = span.to < span.from ? std::nullopt : tide(h, span, Clock::as_reckoned);
        if (!met)
            continue;
        const double water = step.depth.metres() + met->metres;
        const double spare = water - conditions_.required.metres();
        if (!passing || spare < passing->spare_m)
            passing = Passing{h.what,
                              h.object,
                              spare,
                              doubt(*met, survey_m, h.datum),
                              water,
                              met->metres,
                              step.decides != Grade::danger || !step.depth_known,
                              met->at,
                              std::clamp(timetable_.place_at(met->at), span.from, span.to)};
    }
}

void Judge::judge_always(const Hazard& h, std::size_t k, const StepContact& c,
                         std::vector<Grading>& out) const {
    const Step& step = h.steps[k];
    const auto add = [&](const Spans& spans, Grade grade, Cause cause) {
        for (const auto& span : spans)
            out.push_back({grade, cause, k, span, {}, {}});
    };
    if (step.decides == Grade::danger) {
        add(c.charted, Grade::danger, Cause::none);
        if (!hazard::stands_as_charted(h, step))
            add(c.close, Grade::caution, Cause::position);
        return;
    }
    // What nobody knows reaches as far as the charted bottom it stands for would.
    if (step.decides == Grade::unknown)
        add(c.close, Grade::caution, Cause::position);
    if (hazard::is_seen_by_day(step)) {
        for (const auto& span : c.charted)
            out.push_back(judge_mark(k, span));
        return;
    }
    const bool by_doubt = step.decides == Grade::caution && step.cause == Cause::assumed;
    add(by_doubt ? c.close : c.charted, step.decides, step.cause);
    // What an assumed or sounded object would leave over it is shown, though it decides nothing.
    if (h.kind == hazard::Kind::depth && step.decides == Grade::caution && std::isfinite(step.depth.metres()))
        for (auto& g : out)
            if (g.step == k && !g.tide)
                g.tide = tide(h, g.span, Clock::doubted);
}

Grading Judge::judge_mark(std::size_t k, const geo::Span& span) const {
    Grading out{Grade::caution, Cause::margin, k, span, {}, "when it is met is not known"};
    if (span.to > held_to_)
        return out;
    const double margin = conditions_.doubts.time_margin_s;
    constexpr double moment_s = 1e-3; // so that a boat at the very end of a day's light counts
    const Interval there{timetable_.earliest(span.from) - margin,
                         timetable_.latest(span.to) + margin + moment_s};
    out.why = "it may be dark then";
    if (dark_beside(track_, (span.from + span.to) / 2.0, there).empty()) {
        out.grade = Grade::note;
        out.cause = Cause::none;
        out.why = "by day it is seen";
    }
    return out;
}

void Judge::judge_overhead(const Hazard& h, std::size_t k, const StepContact& c,
                           std::vector<Grading>& out) const {
    const auto& boat = conditions_.boat;
    const auto add = [&](const geo::Span& span, Grade grade, Cause cause, std::optional<TideMet> met) {
        out.push_back({grade, cause, k, span, met, {}});
    };
    const auto test = [&](const Spans& spans, Clock clock, bool doubted, Grade grade, Cause cause) {
        for (const auto& span : spans) {
            // Of a clearance the tide takes away: the highest counts, with its doubt where that is asked.
            const auto met = !boat.air_draught_m || tides_.unlinked(span, h.datum)
                                 ? std::nullopt
                                 : least(tides_.met(span, h.datum, clock, true), [&](const TideMet& m) {
                                       return -m.metres - (doubted ? doubt(m, 0.0, h.datum) : 0.0);
                                   });
            if (!met) {
                // Not known reaches as far as known would: beyond the corridor by the doubt of its place.
                if (!doubted)
                    add(span, Grade::unknown, Cause::none, {});
                else if (cause == Cause::position)
                    add(span, Grade::caution, Cause::position, {});
                continue;
            }
            // met->metres is the tide above the datum of the clearance: what it takes away of it.
            const double left =
                h.steps[k].clearance_m - met->metres - (doubted ? doubt(*met, 0.0, h.datum) : 0.0);
            if (left < *boat.air_draught_m + boat.overhead_margin_m)
                add(span, grade, cause, met);
        }
    };
    test(c.charted, Clock::as_reckoned, false, Grade::danger, Cause::none);
    test(c.charted, Clock::doubted, true, Grade::caution, Cause::margin);
    test(c.close, Clock::doubted, true, Grade::caution, Cause::position);
}

/// Of the streams met on the span; where they are not known, the bound the plan states, and wind against it.
hazard::WaterState Judge::sea_on(const geo::Span& span) const {
    hazard::WaterState sea = conditions_.sea;
    const auto met = timetable_.streams_met(span);
    if (met.empty())
        return sea;
    double greatest = 0.0;
    bool against = !conditions_.wind_from_deg;
    for (const auto& stream : met) {
        greatest = std::max(greatest, stream.rate_mps());
        if (conditions_.wind_from_deg)
            against = against ||
                      sea::angle_between_deg(stream, sea::stream_of(*conditions_.wind_from_deg, 1.0)) < 90.0;
    }
    sea.rate_mps = greatest;
    if (sea.wind_mps && !against)
        sea.wind_mps = 0.0;
    return sea;
}

void Judge::judge_rough(const Hazard& h, std::size_t k, const StepContact& c,
                        std::vector<Grading>& out) const {
    for (const auto& span : c.charted) {
        const Grade grade = hazard::rough_water_grade(h.category, sea_on(span));
        out.push_back({grade, grade == Grade::caution ? Cause::sea : Cause::none, k, span, {}, {}});
    }
    for (const auto& span : c.close)
        if (hazard::rough_water_grade(h.category, sea_on(span)) > Grade::note)
            out.push_back({Grade::caution, Cause::position, k, span, {}, {}});
}

std::vector<Grading> Judge::judge(const HazardContact& contact, const Spans& launch,
                                  std::optional<Passing>& passing) const {
    const Hazard& h = hazards_.all[contact.hazard];
    std::vector<Grading> out;
    for (std::size_t k = 0; k < h.steps.size(); ++k) {
        const StepContact& c = contact.steps[k];
        if (c.charted.empty() && c.close.empty())
            continue;
        switch (h.steps[k].in_force) {
        case InForce::below:
            judge_below(h, k, c, out);
            tighten(h, k, without(c.charted, launch), passing);
            break;
        case InForce::above:
            judge_overhead(h, k, c, out);
            break;
        case InForce::always:
            judge_always(h, k, c, out);
            if (h.kind == hazard::Kind::depth && h.steps[k].decides == Grade::caution)
                tighten(h, k, without(c.charted, launch), passing);
            break;
        case InForce::by_stream:
            judge_rough(h, k, c, out);
            break;
        }
    }
    return out;
}

} // namespace dangerline::passage
