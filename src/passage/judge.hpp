// What a contact is worth at its time: the three readings.
#pragma once

#include <optional>
#include <vector>

#include "dangerline/passage/check.hpp"
#include "passage/contacts.hpp"

namespace dangerline::passage {

/// The tide that counts for a span of the path.
struct TideMet {
    Instant at = Instant::from_unix_seconds(0.0);
    double metres = 0.0;   ///< above the hazard's own datum
    double rate_mps = 0.0; ///< size of rise or fall then
};

/// A grade for a span of the path, from one step.
struct Grading {
    hazard::Grade grade = hazard::Grade::none_found;
    hazard::Cause cause = hazard::Cause::none;
    std::size_t step = 0;
    geo::Span span;
    std::optional<TideMet> tide;
};

/// Everything a judgement needs beside the contact.
class Judge {
  public:
    Judge(const Track& track, const Timetable& timetable, const hazard::Hazards& hazards,
          const Conditions& conditions);

    /// Gradings of one hazard, charted and close reading, and the wide one of what lies in the corridor.
    /// `passing` is set to the least spare water of a charted contact where there is one, outside `launch`:
    /// beside a beach the least water is the beach's own, whatever the route.
    std::vector<Grading> judge(const HazardContact& contact, const Spans& launch,
                               std::optional<Passing>& passing) const;

    /// Parts of the path where no tide is known at the boat's time, clock margin included.
    const Spans& without_tide() const { return without_tide_; }

    /// Tide for a span, lowest or highest, entry and exit widened by `margin_s`, as far as the tide is known.
    std::optional<TideMet> tide(geo::Span span, double offset_m, double margin_s, bool highest = false) const;
    /// Height above a datum = height above the source's + this; Failure (plan) where not linked.
    double offset(const hazard::Hazard& hazard) const;
    /// 95 % doubt of water: tide height, tide time and `survey_m` as independent, approximate datum on top.
    double doubt(const TideMet& tide, double survey_m, int datum) const;

    const Conditions& conditions() const { return conditions_; }
    const Timetable& timetable() const { return timetable_; }

  private:
    void judge_below(const hazard::Hazard& h, std::size_t k, const StepContact& c,
                     std::vector<Grading>& out) const;
    void tighten(const hazard::Hazard& h, std::size_t k, const Spans& charted,
                 std::optional<Passing>& passing) const;
    void judge_always(const hazard::Hazard& h, std::size_t k, const StepContact& c,
                      std::vector<Grading>& out) const;
    void judge_overhead(const hazard::Hazard& h, std::size_t k, const StepContact& c,
                        std::vector<Grading>& out) const;
    void judge_rough(const hazard::Hazard& h, std::size_t k, const StepContact& c,
                     std::vector<Grading>& out) const;
    /// Spans on which the water, less its doubt where `doubted`, is under what is required.
    void below_spans(const hazard::Hazard& h, std::size_t k, const Spans& spans, double margin_s,
                     double survey_m, bool doubted, Grading as, std::vector<Grading>& out) const;

    const Timetable& timetable_;
    const hazard::Hazards& hazards_;
    const Conditions& conditions_;
    Spans with_tide_;    // where the tide is known at the boat's own time
    Spans without_tide_; // where it is not, clock margin included
};

} // namespace dangerline::passage
