// Length, bow height and anchor of a plan's boat.
#pragma once

#include "dangerline/plan/anchor.hpp"
#include "plan/section.hpp"

namespace dangerline::plan {

/// `boat`: the table [boat]. Failure (plan): a value out of range, an unknown pattern, an anchor without
/// line, chain without its size, an anchor without the bow's height.
Gear read_gear(const Section& boat);

} // namespace dangerline::plan
