// What is said of water that is hard to believe. Private to the room.
#pragma once

#include <string>
#include <vector>

#include "dangerline/survey/areas.hpp"

namespace dangerline::survey {

/// What the plan draws is called by its name; what the chart shows is not, so that its areas dissolve.
std::string words_for(const OldBar& old);
std::string words_for(const MovedChannel& moved);
/// Of a bottom that was surveyed longer ago than its kind allows.
std::string words_for_old(const MovingArea& area);

/// All of an area, with these remarks in the middle.
std::string sentence_of(const TrustArea& area, const std::vector<std::string>& remarks);

} // namespace dangerline::survey
