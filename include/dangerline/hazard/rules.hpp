// The rule table: what each charted class means to a small boat.
#pragma once

#include <span>
#include <string_view>

#include "dangerline/hazard/hazard.hpp"

namespace dangerline::hazard {

/// How a class is turned into steps.
enum class Treatment : std::uint8_t {
    submerged,  ///< depth from VALSOU, else from WATLEV by the table of assumed depths
    bottom,     ///< depth range DRVAL1 to DRVAL2 of an area
    dredged,    ///< DRVAL1 as maintained; QUASOU 11 never better than caution
    swept,      ///< clear to DRVAL1
    soundings,  ///< depths of a group of soundings
    land,       ///< never passable
    fixture,    ///< by WATLEV: standing above water = mark; ruined, covering or without WATLEV = as submerged
    mark,       ///< visible: danger within 15 m, else caution while daylight is not computed
    turbine,    ///< mark where CATLMK says wind motor or is missing, else harmless
    obstacle,   ///< in the way at any tide
    may_shoal,  ///< bottom may have risen since it was charted: caution, assumed
    weed,       ///< kelp or weed over an unknown bottom: caution, assumed
    rough,      ///< rough water, by CATWAT and stream
    overhead,   ///< clearance above a high-water datum
    unsurveyed, ///< unknown at any tide
    moving,     ///< sand waves: the bottom moves, caution, survey
    regulated,  ///< rules apply: note, or caution by RESTRN and CATREA
    regulated_caution
};

enum Geometries : std::uint8_t { points = 1, lines = 2, areas = 4, any_geometry = 7 };

struct Rule {
    std::string_view cls; ///< S-57 acronym; a trailing '*' stands for any ending
    Treatment treatment;
    Kind kind;
    std::uint8_t geometries; ///< an object drawn otherwise is reported and graded unknown
    std::string_view what;   ///< in words, for sentences
};

/// All rows; a class may have several (a marine farm is an obstacle and a regulated area).
std::span<const Rule> rules();

/// The rows for a class, in the order of the table; empty for harmless and unknown ones.
std::vector<const Rule*> rules_for(std::string_view cls);

/// Whether the class stands in the table at all. A class that does not is reported and graded unknown.
bool is_known(std::string_view cls);

/// Whether a landmark (LNDMRK) may be a wind turbine: where CATLMK says so, or where its kind is not stated.
bool may_be_turbine(const chart::Feature& landmark);

/// How far a solid structure drawn as a point reaches where nobody states its size.
struct AssumedRadius {
    std::string_view cls;
    double metres = 0.0;
    std::string_view source; ///< a publication, or "assumption of this project"
};
std::span<const AssumedRadius> assumed_radii();
std::optional<AssumedRadius> assumed_radius(std::string_view cls);

/// Whether anything asks for the place of objects of the class. Harmless ones need not be read, but for
/// contours, natures of the bottom (soft ground moves), cables and pipes (newer data are held against them),
/// tides, streams and meta objects.
bool is_placed(std::string_view cls);
/// A class in words, also of cables and pipes, which no rule makes a danger; the acronym itself of others.
std::string_view words_for(std::string_view cls);

/// The depth to use where VALSOU is missing, by WATLEV (0 = missing).
struct AssumedDepth {
    bool surface = false;                    ///< land, always dry or floating: in the way at any tide
    Depth decides = Depth::from_metres(0.0); ///< danger while the tide is below this depth's critical tide
    Depth shown = Depth::from_metres(0.0);   ///< what is shown and the base of the spare
    std::string_view words;
};
AssumedDepth assumed_depth(int watlev);

/// Restrictions and categories (RESTRN, CATREA) that make a regulated area a caution rather than a note.
bool restriction_is_caution(int restrn);
bool area_category_is_caution(int catrea);

} // namespace dangerline::hazard
