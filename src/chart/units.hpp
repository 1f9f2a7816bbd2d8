// Which attributes carry depths and heights, and what is out of range.
#pragma once

#include <string_view>

namespace dangerline::chart {

inline constexpr double metres_per_foot = 0.3048;
/// Deeper than any sea, higher than any bridge or hill; catches the 2147483641 that some exports write for
/// "unknown".
inline constexpr double greatest_m = 12000.0;
inline constexpr int unit_metres = 1;      ///< DUNI and HUNI
inline constexpr int depth_unit_feet = 3;  ///< DUNI
inline constexpr int height_unit_feet = 2; ///< HUNI

enum class Unit { none, depth, height };

inline Unit unit_of(std::string_view acronym) {
    for (const auto* name : {"VALSOU", "DRVAL1", "DRVAL2", "VALDCO", "SOUACC", "BURDEP"})
        if (acronym == name)
            return Unit::depth;
    for (const auto* name : {"HEIGHT", "ELEVAT", "VERCLR", "VERCCL", "VERCOP", "VERCSA", "VERLEN", "VERACC"})
        if (acronym == name)
            return Unit::height;
    return Unit::none;
}

} // namespace dangerline::chart
