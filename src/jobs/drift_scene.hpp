// What boats drift in and onto around one place of a plan. Private to the room.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/drift/ensemble.hpp"
#include "dangerline/jobs/drift.hpp"
#include "jobs/places.hpp"

namespace dangerline::jobs {

/// One kind of drifting that is run.
struct DriftKind {
    std::string name;   ///< "open boat", "swamped open boat", "leeway of the plan"
    std::string source; ///< of its leeway
    drift::Leeway leeway;
    bool swamped = false;
};
/// The boat of the plan: one kind or the two defaults, and what it is when swamped.
std::vector<DriftKind> drift_kinds(const plan::Plan& plan);

/// The wind of a plan. Its file is read once.
class PlanWind {
  public:
    /// Failures: the files'; (plan) no wind at all.
    explicit PlanWind(const plan::Plan& plan);
    sea::Wind at(geo::Position place) const;
    /// Whether the plan has any.
    static bool stated(const plan::Plan& plan);

  private:
    std::optional<files::VectorGrid> forecast_{};
    std::optional<sea::Wind> everywhere_{};
};

/// Every station that counts at some place of a square, the lowest of which is taken all over it; `at` is the
/// choice at its middle. Looked at every nautical mile.
tide::Choice choice_around(const Places& places, const tide::Choice& at, geo::Point middle, double half_m);
/// The stations of `more` count too.
void join(tide::Choice& all, const tide::Choice& more);
/// What is said where several stations count all along a drift; empty for one.
std::string lowest_of_all_words(const Places& places, const tide::Choice& choice, const std::string& where);

/// Charted dangers, stream and tide in a square around places, ready for drift::run().
class DriftScene {
  public:
    /// `box`: looked at. `choice`: the tide taken everywhere in it (that of the place). The tide is good for
    /// [from, to] and the errors of its clock. `distrust`: why the tide can't be believed; empty: it can.
    DriftScene(const plan::Plan& plan, const geo::Plane& plane, const Places& places,
               const tide::Choice& choice, const std::string& distrust, const geo::Box& box, Instant from,
               Instant to);

    const drift::Dangers& dangers() const { return *dangers_; }
    const drift::StreamGrid& water() const { return *water_; }
    const drift::TideLine& tide() const { return *tide_; }
    /// The same for a tide cycle more: when what touched floats again.
    const drift::TideLine& later_tide() const { return *later_tide_; }
    /// All but leeway, wind and the boat's own way.
    drift::Adrift adrift(geo::Point start, Instant begin) const;
    /// Another span of time; dangers stay.
    void move_to(Instant from, Instant to);

  private:
    drift::StreamGrid lay_water(Instant from, Instant to) const;
    drift::TideLine lay_tide(Instant from, Instant to) const;
    const plan::Plan& plan_;
    const geo::Plane& plane_;
    const Places& places_;
    tide::Choice choice_;
    bool distrusted_ = false;
    geo::Box box_;
    std::optional<drift::StreamGrid> water_;
    std::optional<drift::TideLine> tide_, later_tide_;
    std::optional<drift::Dangers> dangers_;
};

/// Errors of the tide's clock reach so many standard deviations either way; boats beyond have no stream.
inline constexpr double clock_deviations = 4.5;

/// "depth area 0.0 to 2.0 m", "rock \"Gannet Rock\"".
std::string label_of(const hazard::Hazard& hazard);
/// "38 min", "2 h 05 min"; "never" where infinite.
std::string minutes_words(double seconds);

} // namespace dangerline::jobs
