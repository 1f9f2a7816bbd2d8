// What an anchor report says to people. Private to the room.
#pragma once

#include <string>
#include <vector>

#include "dangerline/jobs/anchor.hpp"

namespace dangerline::jobs {

/// Says all of a mark in its sentences, the gravest first, and of each note in its own.
void put_into_words(AnchorMark& mark, const plan::Plan& plan);

/// Assumptions of this project that an anchor report rests on, beside those of the plan.
std::vector<std::string> anchor_assumptions(const plan::Plan& plan);

} // namespace dangerline::jobs
