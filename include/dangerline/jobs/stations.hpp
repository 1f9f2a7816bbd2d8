// The tides of a plan as curves, and as stations around its routes.
#pragma once

#include <string>
#include <vector>

#include "dangerline/chart/cell.hpp"
#include "dangerline/geo/plane.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/passage/route.hpp"
#include "dangerline/plan/plan.hpp"
#include "dangerline/tide/stations.hpp"

namespace dangerline::jobs {

/// One tide of the plan with what must be said about it.
struct TideOfPlan {
    tide::Station station; ///< the curve holds the plan's weather, unless its heights did before
    std::string words{}; ///< "Lanner Bay: harmonic prediction from tide.csv, mean level 3.20 m above 23 ..."
    std::string distrust{};           ///< why it can't be believed at all; empty: it can
    std::vector<std::string> notes{}; ///< gaps, doubtful shape, weather left out
};

/// Every tide of the plan in its order, standard ports that only serve others too; good from `from` to `to`
/// as far as the files go. A datum in a file counts where the plan names none. Failures: those of the tide
/// room and of files::read_zone for each file; (plan) a file's datum that is not the plan's.
std::vector<TideOfPlan> read_tides(const plan::Plan& plan, Instant from, Instant to);

/// The stations that count somewhere: all but those that only serve as standard port.
std::vector<tide::Station> stations_of(const plan::Plan& plan, const std::vector<TideOfPlan>& tides);

/// Which station counts along a route: stretches in path coordinates of the track, the first from 0, the last
/// to its length.
std::vector<tide::StationReach> reaches_along(const tide::StationMap& map, const passage::Track& track);

/// Land areas (LNDARE) of the charts, for tide::StationMap.
tide::Land land_of(const hazard::Hazards& hazards);
/// The same of laid out cells, where the better one rules.
tide::Land land_of(const std::vector<chart::Cell>& cells);

} // namespace dangerline::jobs
