// What a contact is worth at its time: the three readings.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/passage/check.hpp"
#include "passage/contacts.hpp"
#include "passage/tides_met.hpp"

namespace dangerline::passage {

/// A grade for a span of the path, from one step.
struct Grading {
    hazard::Grade grade = hazard::Grade::none_found;
    hazard::Cause cause = hazard::Cause::none;
    std::size_t step = 0;
    geo::Span span;
    std::optional<TideMet> tide;
    std::string why{}; ///< what made it this grade: a run, the light; may be empty
};

/// Everything a judgement needs beside the contact.
class Judge {
  public:
    Judge(const Track& track, const Timetable& timetable, const hazard::Hazards& hazards,
          const Conditions& conditions);

    /// Gradings of one hazard, charted and close reading, and the wide one of what lies in the corridor.
    /// `passing` is set to the least spare water of a charted contact where there is one, assumed depths
    /// among them, outside `launch`: beside a beach the least water is the beach's own, whatever the route.
    std::vector<Grading> judge(const HazardContact& contact, const Spans& launch,
                               std::optional<Passing>& passing) const;

    const TidesMet& tides() const { return tides_; }
    /// The tide for a span that leaves the hazard the least water, entry and exit by that clock, as
    /// far as it is known; with `survey_m` that which does so less its doubt. Failure (plan) where a station
    /// that counts there is not linked to the hazard's datum.
    std::optional<TideMet> tide(const hazard::Hazard& h, geo::Span span, Clock clock,
                                std::optional<double> survey_m = {}) const;
    /// Failure (plan) where a station that counts on the span is not linked to the hazard's datum.
    void require_link(const hazard::Hazard& h, geo::Span span) const;
    /// 95 % doubt of water: tide height, tide time and `survey_m` as independent, approximate datum on top.
    double doubt(const TideMet& tide, double survey_m, int datum) const;

    const Conditions& conditions() const { return conditions_; }
    const Timetable& timetable() const { return timetable_; }

  private:
    void judge_below(const hazard::Hazard& h, std::size_t k, const StepContact& c,
                     std::vector<Grading>& out) const;
    /// No claim is made of what is met at no known time.
    void tighten(const hazard::Hazard& h, std::size_t k, const Spans& charted,
                 std::optional<Passing>& passing) const;
    void judge_always(const hazard::Hazard& h, std::size_t k, const StepContact& c,
                      std::vector<Grading>& out) const;
    void judge_overhead(const hazard::Hazard& h, std::size_t k, const StepContact& c,
                        std::vector<Grading>& out) const;
    void judge_rough(const hazard::Hazard& h, std::size_t k, const StepContact& c,
                     std::vector<Grading>& out) const;
    hazard::WaterState sea_on(const geo::Span& span) const;
    /// A mark beside the span: seen by day, a caution in the dark or where the boat's time is not known.
    Grading judge_mark(std::size_t k, const geo::Span& span) const;
    /// Spans on which the water, less its doubt where `doubted`, is under what is required.
    void below_spans(const hazard::Hazard& h, std::size_t k, const Spans& spans, Clock clock, double survey_m,
                     bool doubted, Grading as, std::vector<Grading>& out) const;

    const Track& track_;
    const Timetable& timetable_;
    const hazard::Hazards& hazards_;
    const Conditions& conditions_;
    TidesMet tides_;
    double held_to_ = 0.0; ///< see Timetable::held_to()
};

} // namespace dangerline::passage
