// What lies around an anchor. Private to the room.
#pragma once

#include <functional>

#include "dangerline/jobs/anchor.hpp"
#include "jobs/places.hpp"

namespace dangerline::jobs {

/// All in the circle, charted or by doubt, then the nearest beside it.
std::vector<FoulNote> fouls_around(const hazard::AnchoringGround& ground, geo::Point place, double swing_m);

/// Water nobody knows in or at the circle, in words; empty: none.
std::vector<std::string> unknown_around(const hazard::Hazards& hazards, const hazard::AnchoringGround& ground,
                                        geo::Point place, double swing_m);

/// The lowest tide above a datum; nothing: not known there.
using LowAt = std::function<std::optional<double>(int)>;

/// `doubt_m`: the tide may be so much lower. Where the tide is not known whatever it could leave bare is a
/// caution.
std::vector<TouchNote> touches_around(const hazard::Hazards& hazards, const hazard::DepthBounds& in_circle,
                                      geo::Point place, double swing_m, const LowAt& low, double doubt_m,
                                      Water touching);

std::vector<NatureNote> natures_around(const hazard::AnchoringGround& ground, geo::Point place,
                                       drift::Pattern pattern);

/// How far the bottom that may lie at a place by now may have moved there since its survey; 0 where none has.
double moved_at(const hazard::Hazards& hazards, geo::Point place);

/// How far around a place hazards must be whole so that nearest_danger() misses nothing within `within_m`:
/// what moves, or has a doubtful place, may come from farther off.
double danger_reach(const hazard::Hazards& hazards, geo::Point place, double within_m);

/// The same by what the plan draws alone, before any chart is read.
double danger_reach(const std::vector<survey::DrawnMoving>& drawn, const survey::TrustSettings& trust,
                    geo::Point place, double within_m);

/// The nearest danger zone at that tide (not known: at any), position doubt and movement taken off; nothing
/// within `within_m`.
struct NearestDanger {
    std::string words;
    double distance_m = 0.0;
};
std::optional<NearestDanger> nearest_danger(const hazard::Hazards& hazards, geo::Point place, double within_m,
                                            const LowAt& low, Water required);

/// "wreck \"Amaranth\"".
std::string named(const std::string& what, const hazard::ObjectRef& object);

} // namespace dangerline::jobs
