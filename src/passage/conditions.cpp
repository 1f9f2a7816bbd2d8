#include "passage/conditions.hpp"

#include <algorithm>
#include <cmath>

#include "dangerline/hazard/rough_water.hpp"
#include "passage/daylight.hpp"
#include "passage/findings.hpp"
#include "passage/landing_cases.hpp"

namespace dangerline::passage {

namespace {

using hazard::Cause;
using hazard::Grade;
using hazard::Hazard;
using hazard::InForce;
using hazard::Step;
using When = Condition::When;

double middle_of(const geo::Span& span) {
    return (span.from + span.to) / 2.0;
}

/// Where marks are passed that must be seen.
std::vector<double> places_of_marks(const hazard::Hazards& hazards,
                                    const std::vector<CasedContact>& contacts) {
    std::vector<double> places;
    for (const auto& [contact, landing, charted] : contacts) {
        const auto& steps = hazards.all[contact.hazard].steps;
        for (std::size_t k = 0; k < steps.size(); ++k)
            if (hazard::is_seen_by_day(steps[k]))
                for (const auto& span : contact.steps[k].charted)
                    places.push_back(middle_of(span));
    }
    return places;
}

class Collector {
  public:
    Collector(const Track& track, const hazard::Hazards& hazards, const Conditions& conditions,
              const TriedAlong& tried, const SeasonAsk& ask, const Dark& dark, SeasonTides& tides,
              ConditionSet& out)
        : track_(track), hazards_(hazards), conditions_(conditions), tried_(tried), ask_(ask), dark_(dark),
          tides_(tides), out_(out) {}

    void add(const CasedContact& cased) {
        landing_ = cased.landing;
        charted_ = cased.charted;
        number_ = cased.contact.hazard;
        const Hazard& h = hazards_.all[number_];
        for (std::size_t k = 0; k < h.steps.size(); ++k) {
            const StepContact& c = cased.contact.steps[k];
            if (c.charted.empty() && c.close.empty())
                continue;
            step_ = k;
            switch (h.steps[k].in_force) {
            case InForce::below:
                add_below(h, h.steps[k], c);
                break;
            case InForce::above:
                add_above(h, h.steps[k], c);
                break;
            case InForce::always:
                add_always(h, h.steps[k], c);
                break;
            case InForce::by_stream:
                add_rough(h, h.steps[k], c);
                break;
            }
        }
    }

    void add_tides() {
        landing_ = every_case;
        charted_ = true;
        const geo::Span whole{0.0, track_.length()};
        if (!conditions_.tide_distrust.empty())
            plain(When::always, whole,
                  {.grade = Grade::unknown,
                   .kind = hazard::Kind::no_data,
                   .what = "the tide can't be relied on: " + conditions_.tide_distrust});
        const Reason unknown{
            .grade = Grade::unknown, .kind = hazard::Kind::no_data, .what = "no tide is known"};
        for (const auto& span : tides_.bare())
            plain(When::always, span, unknown);
        for (std::size_t r = 0; r < tides_.reaches().size(); ++r) {
            const geo::Span span{tides_.reaches()[r].from_m, tides_.reaches()[r].to_m};
            during(span, tides_.unknown(r), unknown, r, true);
            during(span, tides_.doubtful(r),
                   {.grade = Grade::caution, .cause = Cause::margin, .what = "doubtful shape of the tide"}, r,
                   false);
        }
    }

    void add_limits() {
        landing_ = every_case;
        for (const auto& limit : ask_.limits)
            during(limit.span, limit.closed, {.grade = Grade::note, .what = limit.what, .limit = true}, {},
                   false);
    }

    void add_survey(const std::vector<SurveyLine>& lines) {
        for (const auto& line : lines) {
            const auto& zone = hazards_.zones[line.zone];
            const geo::Span span{line.spans.front().from, line.spans.back().to};
            Reason reason;
            reason.grade = Grade::caution;
            reason.cause = Cause::survey;
            reason.kind = hazard::Kind::survey;
            reason.object = quality_object(zone);
            reason.what = survey::describe(zone);
            reason.span = span;
            Named named;
            named.condition.span = span;
            named.condition.reason = keep(std::move(reason));
            named.cause = Cause::survey;
            named.line = line;
            out_.named.push_back(std::move(named));
        }
    }

  private:
    Reason reason_of(const Hazard& h, const Step& step, Grade grade, Cause cause,
                     const geo::Span& span) const {
        Reason r{.grade = grade,
                 .cause = cause,
                 .kind = h.kind,
                 .object = h.object,
                 .what = h.what,
                 .basis = step.basis == h.what ? std::string() : step.basis,
                 .span = span};
        return r;
    }

    ReasonNumber keep(Reason reason) {
        out_.reasons.push_back(std::move(reason));
        return out_.reasons.size() - 1;
    }

    Condition condition(When when, const geo::Span& span, ReasonNumber reason) const {
        Condition c;
        c.when = when;
        c.span = span;
        c.reason = reason;
        c.landing = landing_;
        c.charted = charted_;
        c.hazard = number_;
        c.step = step_;
        return c;
    }

    void plain(When when, const geo::Span& span, Reason reason) {
        reason.span = span;
        out_.all.push_back(condition(when, span, keep(std::move(reason))));
    }

    void during(const geo::Span& span, TimeSet times, Reason reason, std::optional<std::size_t> reach,
                bool charted) {
        if (times.empty())
            return;
        reason.span = span;
        if (reach)
            reason.station = tides_.names(*reach);
        Condition c = condition(When::during, span, keep(std::move(reason)));
        c.during = std::make_shared<const TimeSet>(std::move(times));
        c.charted = charted;
        out_.all.push_back(std::move(c));
    }

    void always(const Hazard& h, const Step& step, const Spans& spans, Grade grade) {
        for (const auto& span : spans) {
            Condition c = condition(When::always, span, keep(reason_of(h, step, grade, Cause::none, span)));
            c.of_hazard = true;
            std::vector<TidePart> told;
            if (TriedAlong::may_ease(h, step_, grade, Cause::none))
                for (const auto& part : tried_.parts({span}, h.datum, TriedAlong::object_of(h, step_)))
                    told.push_back({part.span, part.datum, part.level_m});
            if (told.empty())
                out_.all.push_back(std::move(c));
            else
                out_.bars.push_back({std::move(c), std::move(told)});
        }
    }

    void name(const Hazard& h, const Step& step, const Spans& spans, Cause cause) {
        if (landing_ != every_case)
            return; // named with the stretches at their longest
        for (const auto& span : spans)
            out_.named.push_back(
                {condition(When::always, span, keep(reason_of(h, step, Grade::caution, cause, span))),
                 cause,
                 {}});
    }

    /// One condition for each reach that the span runs through. `spread` gets them.
    template <typename Take>
    void by_tide(const Hazard& h, const Step& step, const Spans& spans, double level_m, Grade grade,
                 Cause cause, Take take) {
        for (const auto& span : spans)
            for (std::size_t r = 0; r < tides_.reaches().size(); ++r) {
                const auto& reach = tides_.reaches()[r];
                if (reach.to_m < span.from || reach.from_m > span.to || !tides_.linked(r, h.datum))
                    continue; // a missing link is refused elsewhere, or graded below
                const geo::Span part{std::max(span.from, reach.from_m), std::min(span.to, reach.to_m)};
                Reason reason = reason_of(h, step, grade, cause, part);
                reason.critical_tide_m = level_m;
                reason.station = tides_.names(r);
                Condition c = condition(When::below, part, keep(std::move(reason)));
                c.source = tides_.source(r, h.datum);
                c.level_m = level_m;
                c.of_hazard = true;
                take(std::move(c));
            }
    }

    void add_below(const Hazard& h, const Step& step, const StepContact& c) {
        const double depth = step.depth.metres();
        const bool at_any_tide = !std::isfinite(depth);
        const double level = conditions_.required.metres() - depth;
        const auto close = [&](Condition one) { out_.all.push_back(std::move(one)); };
        const auto named = [&](Cause cause) {
            return [this, cause](Condition one) {
                if (landing_ == every_case)
                    out_.named.push_back({std::move(one), cause, {}});
            };
        };
        if (step.decides != Grade::danger) {
            if (step.decides == Grade::unknown)
                always(h, step, c.close, Grade::unknown);
            else if (at_any_tide)
                name(h, step, c.close, step.cause);
            else
                by_tide(h, step, c.close, level, Grade::caution, step.cause, named(step.cause));
        } else if (at_any_tide) {
            always(h, step, c.charted, Grade::danger);
            name(h, step, c.close, Cause::position);
        } else {
            by_tide(h, step, c.charted, level, Grade::danger, Cause::none, close);
            by_tide(h, step, c.close, level, Grade::caution, Cause::position, named(Cause::position));
        }
        // The doubts are added up here and taken as independent by check(): named sooner rather than later.
        if (!h.between && !at_any_tide)
            by_tide(h, step, c.charted, level + h.allowance.depth_doubt(depth), Grade::caution, Cause::survey,
                    named(Cause::survey));
    }

    void add_above(const Hazard& h, const Step& step, const StepContact& c) {
        const auto& boat = conditions_.boat;
        for (const auto& span : c.charted)
            for (std::size_t r = 0; r < tides_.reaches().size(); ++r) {
                const auto& reach = tides_.reaches()[r];
                if (reach.to_m < span.from || reach.from_m > span.to)
                    continue;
                if (!boat.air_draught_m || !tides_.linked(r, h.datum)) {
                    always(h, step, {span}, Grade::unknown);
                    continue;
                }
                const geo::Span part{std::max(span.from, reach.from_m), std::min(span.to, reach.to_m)};
                Reason reason = reason_of(h, step, Grade::danger, Cause::none, part);
                reason.critical_tide_m = step.clearance_m - *boat.air_draught_m - boat.overhead_margin_m;
                reason.station = tides_.names(r);
                Condition one = condition(When::above, part, keep(reason));
                one.level_m = *reason.critical_tide_m;
                one.source = tides_.source(r, h.datum);
                one.of_hazard = true;
                out_.all.push_back(std::move(one));
            }
        name(h, step, c.close, Cause::position);
    }

    void add_always(const Hazard& h, const Step& step, const StepContact& c) {
        if (step.decides == Grade::danger || step.decides == Grade::unknown) {
            always(h, step, c.charted, step.decides);
            if (!hazard::stands_as_charted(h, step))
                name(h, step, c.close, Cause::position);
            return;
        }
        if (step.decides != Grade::caution)
            return;
        if (!hazard::is_seen_by_day(step)) {
            name(h, step, step.cause == Cause::assumed ? c.close : c.charted, step.cause);
            return;
        }
        for (const auto& span : c.charted) {
            Reason reason = reason_of(h, step, Grade::caution, Cause::margin, span);
            reason.basis = "can't be seen in the dark";
            Condition one = condition(When::during, span, keep(reason));
            one.during = dark_.beside(middle_of(span));
            one.charted = false;
            one.of_hazard = true;
            out_.all.push_back(std::move(one));
        }
    }

    void add_rough(const Hazard& h, const Step& step, const StepContact& c) {
        for (const auto& span : charted_ ? c.charted : Spans{}) // none is joined to a landing
            out_.rough.push_back({span, h.category,
                                  keep(reason_of(h, step, Grade::danger, Cause::none, span)), landing_,
                                  number_, step_});
        if (hazard::rough_water_grade(h.category, conditions_.sea) > Grade::note) {
            name(h, step, c.charted, Cause::sea);
            name(h, step, c.close, Cause::position);
        }
    }

    const Track& track_;
    const hazard::Hazards& hazards_;
    const Conditions& conditions_;
    const TriedAlong& tried_;
    const SeasonAsk& ask_;
    const Dark& dark_;
    SeasonTides& tides_;
    ConditionSet& out_;
    std::size_t landing_ = every_case, number_ = 0, step_ = 0;
    bool charted_ = true;
};

/// The same with every tide at its lowest of these times, as far as it is known then.
Conditions at_lowest_tide(Conditions conditions, const Interval& times) {
    constexpr double above_all_m = 1000.0;
    for (auto& station : conditions.tides.stations) {
        auto& curve = station.prediction.curve;
        std::optional<TideHeight> lowest;
        for (const auto& known :
             curve.below(TideHeight::from_metres(above_all_m), times.from, times.to).spans)
            if (const auto found = curve.lowest(known.from, known.to))
                lowest = std::min(lowest.value_or(found->height), found->height);
        if (lowest)
            curve = tide::Curve::fixed(*lowest, curve.note());
    }
    return conditions;
}

} // namespace

namespace {

/// For three conditions a step met, more than is usual: lists that grow are copied into fresh memory.
void make_room(const std::vector<CasedContact>& cased, ConditionSet& out) {
    std::size_t steps = 0;
    for (const auto& one : cased)
        for (const auto& step : one.contact.steps)
            steps += step.charted.empty() && step.close.empty() ? 0 : 1;
    out.reasons.reserve(3 * steps);
    out.all.reserve(steps);
    out.named.reserve(2 * steps);
}

} // namespace

ConditionSet conditions_of(const Track& track, bool name_survey, const hazard::Hazards& hazards,
                           const Conditions& conditions, const TriedAlong& tried, const SeasonAsk& ask,
                           SeasonTides& tides) {
    ConditionSet out;
    const auto cases = end_cases(track, hazards, conditions, tides);
    const auto landings = first_landings(cases);
    auto contacts = find_contacts(track, hazards, landings);
    std::vector<SurveyLine> lines;
    if (name_survey) {
        const Conditions driest = at_lowest_tide(conditions, tides.times());
        const Timetable timetable(track, ask.departures.from);
        lines = survey_lines(track, hazards, contacts, landings, Judge(track, timetable, hazards, driest));
    }
    const auto cased = cased_contacts(track, hazards, cases, std::move(contacts), out.landings);
    // With the doubt of the boat's clock, as check() takes it.
    const Dark dark(track, places_of_marks(hazards, cased), tides.times(), conditions.doubts.time_margin_s);
    make_room(cased, out);
    Collector collector(track, hazards, conditions, tried, ask, dark, tides, out);
    for (const auto& contact : cased)
        collector.add(contact);
    collector.add_tides();
    collector.add_limits();
    collector.add_survey(lines);
    out.visible = without_hidden(out.all);
    return out;
}

} // namespace dangerline::passage
