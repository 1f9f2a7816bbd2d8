// From conditions to closed departures. Private to the room.
#pragma once

#include <vector>

#include "passage/conditions.hpp"

namespace dangerline::passage {

/// Departures closed by one reason.
struct Tag {
    Interval when;
    ReasonNumber reason = no_reason;
};

/// Maps times on a part of the path to departures of one voyage.
class Mapper {
  public:
    Mapper(const Voyage& voyage, const std::vector<LandingCase>& landings, const Interval& departures);

    /// `times` on `span`: departures that bring the boat there then.
    void map(const geo::Span& span, const TimeSet& times, std::vector<Interval>& out) const;
    /// Closed departures of a condition whose times are these, landing case counted.
    std::vector<Interval> closed_by(const Condition& condition, const TimeSet& times) const;

    const Voyage& voyage() const { return voyage_; }
    const Interval& departures() const { return departures_; }

  private:
    TimeSet departures_of(const TideBand& band) const;

    const Voyage& voyage_;
    Interval departures_;
    std::vector<TimeSet> of_landing_;
};

/// Tags of all conditions that count in this reading, with levels `lower_m` metres lower.
std::vector<Tag> closings(const std::vector<Condition>& conditions, const Mapper& mapper, SeasonTides& tides,
                          Reading reading, double lower_m = 0.0);

/// Instants at which a condition is in force.
const TimeSet& times_of(const Condition& condition, SeasonTides& tides, Reading reading,
                        double lower_m = 0.0);

/// Works out times_of() of all these side by side, so that it finds them.
void prepare_times(const std::vector<const Condition*>& conditions, SeasonTides& tides, Reading reading,
                   double lower_m = 0.0);

/// Departures that meet rough water in force.
std::vector<Condition> rough_conditions(const std::vector<RoughWater>& rough, const Mapper& mapper,
                                        const Conditions& conditions, const Interval& times);

/// Closes departures that meet a bar of which no run tells at their tide, with levels `lower_m` metres lower.
/// What `own` holds of these bars is replaced. `margin_s`: doubt of the boat's clock.
void close_bars(const std::vector<TriedBar>& bars, const Mapper& mapper, SeasonTides& tides, double margin_s,
                double lower_m, std::vector<Condition>& own);

/// Joined, within `departures`.
std::vector<Closed> merged(std::vector<Tag> tags, const Interval& departures);
TimeSet set_of(const std::vector<Closed>& closed);

/// One track over one season.
struct SeasonRun {
    const Track& track;
    const VoyageMaker& voyages;
    const SeasonAsk& ask;
    SeasonTides& tides;
    ConditionSet& conditions;
    const TriedAlong& tried;
    const hazard::Hazards& hazards;
    double clock_margin_s = 0.0;
    const Mapper& full; ///< of ask.departures and what robustness adds
    const Mapper& slow;
    std::vector<Condition> full_own,
        slow_own; ///< of these voyages alone: spells, rough water, bars, long trips

    /// Calculated; levels so much lower.
    std::vector<Closed> closed(double lower_m = 0.0) const;
    /// For offered windows.
    std::vector<Closed> not_offered(double lower_m = 0.0) const;
    TimeSet offered(const std::vector<Closed>& not_offered) const;
};

std::vector<StepShare> step_shares(const SeasonRun& run);
std::optional<Sensitivity> sensitivity(const SeasonRun& run, const Season& season);
Opening opening(const SeasonRun& run, const Season& season);
void name_cautions(const SeasonRun& run, Season& season);

} // namespace dangerline::passage
