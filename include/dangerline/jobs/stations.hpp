// The tides of a plan as curves, and as stations around its routes.
#pragma once

#include <string>
#include <vector>

#include "dangerline/geo/plane.hpp"
#include "dangerline/hazard/hazard.hpp"
#include "dangerline/plan/plan.hpp"
#include "dangerline/tide/stations.hpp"

namespace dangerline::jobs {

/// One tide of the plan with what must be said about it.
struct TideOfPlan {
    tide::Station station; ///< the curve holds the plan's weather, unless its heights did before
    std::string words{};   ///< "Lanner Bay: harmonic prediction from tide.csv, mean level 3.20 m; ..."
    std::vector<std::string> notes{}; ///< the prediction's own notes and what is left to say of the datum
};

/// Every tide of the plan in its order, standard ports that only serve others too; good from `from` to `to`
/// as far as the files go. A datum in a file counts where the plan names none. Failures: those of the tide
/// room for each file; (plan) a file's datum that is not the plan's.
std::vector<TideOfPlan> read_tides(const plan::Plan& plan, Instant from, Instant to);

/// The stations that count somewhere: all but those that only serve as standard port.
std::vector<tide::Station> stations_of(const plan::Plan& plan, const std::vector<TideOfPlan>& tides);

/// Land areas (LNDARE) of the charts, for tide::StationMap.
tide::Land land_of(const hazard::Hazards& hazards);

/// "harmonic prediction from tide.csv, mean level 3.20 m; metres above 23 (lowest astronomical tide)".
std::string words_of(const plan::TideSource& source, const tide::DatumChain& datums);

/// Lowest, mean and highest tide of `tide` above its own datum moved by `offset_m`, and what looks wrong
/// about it: of the whole years of `from` and `to` for harmonic tides and secondary ports of such, else of
/// what the file holds between its first and last entry (datum warnings are for whole years only).
std::vector<std::string> span_notes(const plan::Plan& plan, const plan::TideSource& source, double offset_m,
                                    Instant from, Instant to);

} // namespace dangerline::jobs
