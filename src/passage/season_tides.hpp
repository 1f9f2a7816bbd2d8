// When the tide is below or above a level, over a whole season: once for each level. Private to the room.
#pragma once

#include <functional>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "dangerline/base/time_set.hpp"
#include "dangerline/passage/check.hpp"

namespace dangerline::passage {

/// How the tide is read: at its word; less its doubt; less its doubt with the boat's own clock in doubt too.
enum class Reading { charted, doubted, margin };

class SeasonTides {
  public:
    /// `times`: all instants at which a boat may be on its way. `conditions` must outlive it.
    SeasonTides(const Conditions& conditions, double length_m, const Interval& times);

    const Interval& times() const { return times_; }
    const TimeSet& always() const { return always_; }
    /// Reaches with stations, ends within the track.
    const std::vector<tide::StationReach>& reaches() const { return reaches_; }
    /// Parts of the track where no station counts.
    const std::vector<geo::Span>& bare() const { return bare_; }

    /// Number of the tide that counts on a reach for depths above `datum`: the same for reaches that are
    /// alike. Every station there must be linked to it.
    std::size_t source(std::size_t reach, int datum);
    bool linked(std::size_t reach, int datum) const;
    /// "Lanner Bay", "Lanner Bay or Rook Quay".
    std::string names(std::size_t reach) const;

    struct Level {
        std::size_t source = 0;
        double level_m = 0.0;
    };
    /// Works out below() of all these on all processors; the calls afterwards find it done.
    void prepare_below(const std::vector<Level>& levels, Reading reading);
    /// Instants at which it is below the level, metres above the datum of the source.
    const TimeSet& below(std::size_t source, double level_m, Reading reading);
    const TimeSet& above(std::size_t source, double level_m, Reading reading);

    /// The lowest over the closed span above the source's datum; nothing where it is not known all the while.
    std::optional<double> lowest(std::size_t source, Instant from, Instant to) const;

    /// The lowest on a part of the path, above the datum, at the times of each reach of it; nothing where a
    /// reach is not linked to that datum or its tide is not known all the while.
    std::optional<double> lowest(const geo::Span& span, int datum,
                                 const std::function<Interval(const geo::Span&)>& when) const;

    /// Where the tide of a reach is not known within the clock margin.
    TimeSet unknown(std::size_t reach) const;
    /// Where its shape is doubtful within the clock margin.
    TimeSet doubtful(std::size_t reach) const;

  private:
    struct Member {
        tide::Curve curve;
        tide::Curve lower, higher; ///< less and with its doubt
        double offset_m;           ///< to be added to its heights
        double approximate_m;      ///< further doubt
    };
    struct Source {
        std::vector<std::size_t> stations;
        tide::StationDoubt doubt;
        int datum;
        std::vector<Member> members;
        std::map<std::pair<double, int>, TimeSet> below, above;
    };
    TimeSet worked_out(const Source& source, double level_m, Reading reading, bool below) const;
    const TimeSet& in_force(std::map<std::pair<double, int>, TimeSet>& known, const Source& source,
                            double level_m, Reading reading, bool below) const;

    const Conditions& conditions_;
    Interval times_;
    TimeSet always_;
    std::vector<tide::StationReach> reaches_;
    std::vector<geo::Span> bare_;
    std::vector<Source> sources_;
};

/// The curve less (sign -1) or with (+1) its 95 % doubt: height and, by its rate, time, as independent.
tide::Curve doubted(const tide::Curve& curve, const tide::StationDoubt& doubt, double sign);

} // namespace dangerline::passage
