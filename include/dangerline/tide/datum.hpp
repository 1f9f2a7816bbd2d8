// From the datum of a tide source to the datum of a chart.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "dangerline/base/quantities.hpp"

namespace dangerline::tide {

/// Name of an S-57 vertical datum (attribute VERDAT, codes 1 to 29 of S-57 Edition 3.1 Appendix A; 30 Baltic
/// from memory). Nothing for any other code.
std::optional<std::string> datum_name(int verdat);
/// "23 (lowest astronomical tide)", "99 (no such code)": for messages.
std::string datum_text(int verdat);

/// Codes 7, 10, 14, 15, 19: the chart itself says the level is approximate.
bool is_approximate(int verdat);
/// Added linearly to the doubt of heights above an approximate datum; an assumption of this project.
inline constexpr double approximate_datum_doubt_m = 0.3;

/// What a tide source says about datums. "The datum with this code lies `metres_below_source` metres below
/// the source's own datum"; negative where it lies above.
struct DatumChain {
    std::optional<int> source_code{};            ///< VERDAT of the source's heights; nothing: not stated
    std::map<int, double> metres_below_source{}; ///< by VERDAT of the chart

    /// Metres to add to the source's heights to have them above the datum `chart_code`: the number given for
    /// that code, else 0 where the source has the same code, else nothing (not linked: refuse). A local datum
    /// (24) is no particular level, so it is linked by a number only.
    std::optional<double> offset_to(int chart_code) const;
    /// source height + offset; nothing where not linked.
    std::optional<TideHeight> above(int chart_code, TideHeight source_height) const;
};

} // namespace dangerline::tide
