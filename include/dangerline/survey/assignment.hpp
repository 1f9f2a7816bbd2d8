// Which of two lists belong together, one to one, at the greatest saving.
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <vector>

namespace dangerline::survey {

/// That row and column may be paired, and what it saves against leaving both alone; whole units, over 0.
struct PairChoice {
    std::size_t row = 0;
    std::size_t column = 0;
    std::int64_t saving = 0;
};

/// For each row the column it is paired with, or nothing: no column twice, and no other one-to-one choice
/// saves more in total (least-cost assignment by successive shortest augmenting paths with potentials, R. E.
/// Burkard, M. Dell'Amico, S. Martello, Assignment Problems, SIAM 2009, 4.4). Whole numbers, so exact; the
/// same input gives the same pairs, whichever of several equal choices that is. Choices with a saving of 0 or
/// less are left out; of two for one pair the greater counts. Rows without choices cost nothing; a group that
/// hangs together of n rows and m choices costs n m log m at most. std::invalid_argument for a row or column
/// out of range.
std::vector<std::optional<std::size_t>> best_pairs(std::size_t rows, std::size_t columns,
                                                   std::span<const PairChoice> choices);

} // namespace dangerline::survey
