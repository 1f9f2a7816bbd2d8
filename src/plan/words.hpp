// Texts of a plan that hold a number and its unit, and keys written nearly right.
#pragma once

#include "dangerline/plan/plan.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace dangerline::plan {

inline constexpr const char* speed_examples =
    "a speed with its unit, like \"14 kn\", \"7 m/s\" or \"26 km/h\"";
inline constexpr const char* wind_examples =
    "where it comes from, then its speed with unit, like \"SW 20 kn\" or \"225 10 m/s\"";

struct Speed {
    double mps = 0.0;  ///< finite, any sign
    std::string words; ///< "14 kn"
};

/// A decimal number and its unit (kn, m/s, km/h), with or without blanks between. Throws
/// std::invalid_argument, saying what is wrong, for anything else; a number alone lacks its unit and is never
/// guessed.
Speed parse_speed(std::string_view text);

/// Where wind comes from (one of 16 compass points in either case, or degrees true from 0 to 360), a blank,
/// and its speed as parse_speed(), not negative. Throws std::invalid_argument, saying what is wrong.
Wind parse_wind(std::string_view text);

/// Least number of letters put in, left out or exchanged that turns one word into the other (Levenshtein
/// 1966).
std::size_t edit_distance(std::string_view a, std::string_view b);

/// The first of the nearest by edit distance; `words` must not be empty.
std::string nearest(std::string_view word, const std::vector<std::string>& words);

} // namespace dangerline::plan
