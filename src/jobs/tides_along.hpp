// The tides of a plan laid along the routes of a passage, and what must be said of them. Private to the room.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/jobs/load.hpp"
#include "dangerline/jobs/stations.hpp"
#include "dangerline/passage/check.hpp"
#include "jobs/plan_tides.hpp"

namespace dangerline::jobs {

class TidesAlong {
  public:
    /// Tides good from a day before `first` to a day after `last`, as far as the files go. `plan` must
    /// outlive it. Failures: those of read_tides().
    TidesAlong(const plan::Plan& plan, Instant first, Instant last);

    /// The bottom along the tracks at every height of every station; nothing where a station is not linked to
    /// some cell, or has gaps there.
    std::optional<hazard::BottomWindow> bottom(const std::vector<passage::Track>& tracks,
                                               const std::vector<chart::Cell>& cells,
                                               double required_m) const;

    /// Chooses stations along every track; `hazards` give the land that parts waters. Failure (plan): a
    /// station that can't be placed.
    void lay(const geo::Plane& plane, const hazard::Hazards& hazards,
             const std::vector<passage::Track>& tracks);

    // The rest needs lay().

    passage::Tides along(std::size_t track) const { return {tides_.stations(), reaches_.at(track)}; }
    /// Why a station that counts along the track can't be believed; empty: all can.
    std::string distrust(std::size_t track) const;
    std::vector<std::string> warnings(std::size_t track) const;
    /// The stations that count along some track.
    std::string words() const { return tides_.words(); }
    /// Levels above the datum `chart_code` (nothing: no chart), what the files say, where each station counts
    /// and with what doubt.
    /// What looks wrong about the levels stands in `warnings`.
    TideNotes notes(std::optional<int> chart_code) const;

  private:
    void add_reaches(std::size_t track, std::vector<std::string>& notes) const;

    const plan::Plan& plan_;
    PlanTides tides_;
    std::vector<std::string> tracks_; // names
    std::vector<std::vector<tide::StationReach>> reaches_;
};

} // namespace dangerline::jobs
