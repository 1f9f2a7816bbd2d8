// From what a plan asks of a season to limits of departures. Private to the room.
#pragma once

#include "dangerline/passage/windows.hpp"
#include "dangerline/plan/plan.hpp"

namespace dangerline::jobs {

/// Departures of the season's local days.
Interval departures_of(const plan::Plan& plan);

/// Limits of one track. `times`: all instants its boats may be under way; `tides`: along it.
passage::SeasonAsk ask_of(const plan::Plan& plan, const passage::Track& track, const passage::Tides& tides,
                          int chart_datum, const Interval& times);

} // namespace dangerline::jobs
