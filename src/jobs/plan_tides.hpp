// The tide stations of a plan over a span of time, wherever they are asked about. Private to the room.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/jobs/stations.hpp"
#include "dangerline/passage/check.hpp"
#include "jobs/tide_source.hpp"

namespace dangerline::jobs {

class PlanTides {
  public:
    /// Tides good from a day before `first` to a day after `last`, as far as the files go. `plan` must
    /// outlive it. Failures: those of read_tides().
    PlanTides(const plan::Plan& plan, Instant first, Instant last);

    /// Those that count somewhere, in the order of the plan.
    const std::vector<tide::Station>& stations() const { return stations_; }

    /// Lowest and highest height of any station above any datum of the cells, from a day before `first` to a
    /// day after `last`; nothing where a station is not linked to some cell, or has gaps there.
    struct Levels {
        double lowest_m = 0.0, highest_m = 0.0;
    };
    std::optional<Levels> levels(const std::vector<chart::Cell>& cells) const;
    /// No choice at these places can have more.
    passage::Doubts widest_doubts(const std::vector<geo::Position>& places) const;

    /// The stations of a choice are of account.
    void count(const tide::Choice& choice);
    /// Why a station of the choice can't be believed; empty: all can.
    std::string distrust(const tide::Choice& choice) const;
    /// Of every station of account.
    std::string words() const;
    /// Levels above the datum `chart_code` (nothing: no chart) and what the files say, of every station of
    /// account. What looks wrong about the levels stands in `warnings`.
    TideNotes notes(std::optional<int> chart_code) const;
    /// Names of the stations of no account; empty where there are none.
    std::string idle() const;
    /// "Lanner Bay or Gannet Head, whichever is lower".
    std::string names(const std::vector<std::size_t>& stations) const;

  private:
    std::string named(std::size_t station, const std::string& words) const;

    const plan::Plan& plan_;
    Instant first_, last_;
    std::vector<TideOfPlan> tides_;      // those that count somewhere
    std::vector<std::size_t> source_of_; // which of plan_.tides each is
    std::vector<tide::Station> stations_;
    std::vector<bool> counts_; // at some place asked about
};

/// "0.3 m and 15 min".
std::string doubt_words(const tide::StationDoubt& doubt);

} // namespace dangerline::jobs
