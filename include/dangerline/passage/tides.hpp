// The tides along a track: which stations count where.
#pragma once

#include <vector>

#include "dangerline/tide/stations.hpp"

namespace dangerline::passage {

struct Tides {
    std::vector<tide::Station> stations{};
    /// In path coordinates of one track, metres, ascending and joined. Where no reach lies, and where a
    /// choice names no station, the tide is unknown. An end beyond the track counts as its end.
    std::vector<tide::StationReach> reaches{};

    /// One station everywhere, whatever the track; its choice adds nothing to Conditions::doubts.
    static Tides one(const tide::Curve& curve, const tide::DatumChain& datums);
};

} // namespace dangerline::passage
