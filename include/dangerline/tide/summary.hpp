// What a tide source amounts to above chart datum, and what looks wrong about it.
#pragma once

#include <string>
#include <vector>

#include "dangerline/base/quantities.hpp"
#include "dangerline/tide/curve.hpp"
#include "dangerline/tide/harmonic.hpp"

namespace dangerline::tide {

/// Lowest, mean and highest tide of whole calendar years above a chart's datum; the mean is mean level.
struct Summary {
    int first_year = 0;
    int last_year = 0;
    TideHeight lowest = TideHeight::from_metres(0.0);
    TideHeight mean = TideHeight::from_metres(0.0);
    TideHeight highest = TideHeight::from_metres(0.0);
    std::vector<std::string> warnings{}; ///< one sentence each without a full stop
};

/// `z0_m`: mean level above the source's datum; `offset_m`: metres to add to heights above the source's datum
/// (DatumChain::offset_to). Both years included; throws std::invalid_argument where first > last and
/// Failure(Fault::plan) beyond 1900 to 2100. About 3 ms a year.
Summary summarise(const Constants& constants, double z0_m, double offset_m, int first_year, int last_year);

/// The same for a curve without constants (a secondary port): of its known part in [from, to], the mean over
/// time; the years are those of `from` and of the second before `to`. Throws Failure(Fault::data) where
/// nothing is known in that span.
Summary summarise(const Curve& curve, double offset_m, Instant from, Instant to);

/// The datum or Z0 is probably wrong where, above chart datum, the lowest tide is above +0.8 m or below -1.5
/// m or the mean not positive (thresholds are assumptions of this project).
std::vector<std::string> datum_warnings(TideHeight lowest, TideHeight mean);

} // namespace dangerline::tide
