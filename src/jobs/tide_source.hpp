// What the jobs say of a plan's tides. Private to the room.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "dangerline/plan/plan.hpp"
#include "dangerline/tide/high_low.hpp"

namespace dangerline::jobs {

/// "harmonic prediction from tide.csv, mean level 3.20 m above 23 (lowest astronomical tide)"; with the name
/// before it where the tide has one, and what weather adds after it.
std::string tide_words(const plan::Plan& plan, const plan::TideSource& source,
                       const tide::DatumChain& datums);
/// Of every tide that counts somewhere, as the plan states their datums.
std::string tide_words(const plan::Plan& plan);

/// Why a tide can't be believed at all; empty where it can. Harmonic constants without M2, S2, K1 or O1
/// predict a tide too high at low water wherever that constituent is not nothing; so does a secondary port
/// made from such.
std::string tide_distrust(const plan::Plan& plan, const plan::TideSource& source);
/// The first reason any tide of the plan gives.
std::string tide_distrust(const plan::Plan& plan);

/// The tide before pressure and surge; defined beside read_tides().
tide::Prediction prediction_of(const plan::Plan& plan, const plan::TideSource& source, Instant from,
                               Instant to);
/// The tide of this plan with that name. Failure (plan) where there is none.
const plan::TideSource& tide_named(const plan::Plan& plan, const std::string& name);

/// Whether its heights hold pressure and surge already: its own word, or that of its standard port.
bool holds_weather(const plan::Plan& plan, const plan::TideSource& source);

/// Lowest, mean and highest height, and what looks wrong about them.
struct TideNotes {
    std::vector<std::string> lines;    ///< plain statements
    std::vector<std::string> warnings; ///< each to be said where it can't be overlooked
};

/// Of the whole years of `from` and `to` for harmonic tides and secondary ports of such, else of what the
/// file holds between its first and last entry (there nothing is checked). Heights are above the datum
/// `offset_m` metres below the source's (nothing: not linked, no lines), which is named `above` in words,
/// before pressure and surge.
TideNotes tide_notes(const plan::Plan& plan, const plan::TideSource& source, std::optional<double> offset_m,
                     const std::string& above, Instant from, Instant to);
/// Of the plan's first tide.
TideNotes tide_notes(const plan::Plan& plan, std::optional<double> offset_m, const std::string& above,
                     Instant from, Instant to);

} // namespace dangerline::jobs
