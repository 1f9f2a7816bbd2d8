// Breakdown along a route in sentences. Private to the room.
#pragma once

#include "dangerline/jobs/breakdown.hpp"

namespace dangerline::jobs {

/// Fills the sentences of a route of which all else is known.
void put_into_words(BrokenRoute& route, const DriftReport& base);

} // namespace dangerline::jobs
