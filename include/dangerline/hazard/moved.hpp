// Bottoms that move: where what is charted of them may lie by now.
#pragma once

#include <cstddef>
#include <memory>
#include <vector>

#include "dangerline/hazard/hazard.hpp"

namespace dangerline::hazard {

/// How far the bottom of a hazard may have moved since its survey, metres; 0 where it stays.
double moved_m(const Hazard& hazard);

/// The part of a step (by number) that lies on a bottom that moves, and how far it may lie from there by now.
struct MovedStep {
    std::size_t step = 0;
    std::shared_ptr<const geo::Shape> extent;
    double moved_m = 0.0;
    std::size_t part = 0; ///< which moving part of the hazard, from 1
};
/// The steps of a depth area that are a danger at the chart's word, within each part that moves; none for
/// soundings, whose steps have Step::moved_m themselves. Steps within one another stay so within a part.
std::vector<MovedStep> moved_steps(const Hazard& hazard);

} // namespace dangerline::hazard
