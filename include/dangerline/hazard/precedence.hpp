// Hazards of a coarser cell where a better cell rules.
#pragma once

#include <span>
#include <vector>

#include "dangerline/hazard/hazard.hpp"

namespace dangerline::hazard {

/// Makes a hazard a caution at most: whatever decided danger or unknown decides caution with the cause given,
/// and `why` is added to what each step says. Notes stay notes.
void demote(Hazard& hazard, Cause cause, std::string_view why);

/// Whether no tide (or height, or stream) leaves a boat anything of `coarse` that `fine` does not show it at
/// least as gravely: each step of the one is answered by a step of the other that is in force whenever it is
/// and decides no less. Depths above different datums can't be compared, so they answer nothing. Shapes are
/// not looked at.
bool at_least_as_restrictive(const Hazard& fine, const Hazard& coarse);

/// Settles hazards built from features with `under_better` set (chart/precedence.hpp) against all the others.
/// One becomes a note where some hazard of a cell of better scale stands for the same object (the same LNAM,
/// not of producer 0), or where such hazards of the same class, each at least as restrictive, come within
/// both position doubts of every place of it (looked at every half of that doubt, at most 1000 places, else
/// it counts as not answered). The rest become cautions, cause `survey`.
void settle_under_better(std::span<Hazard> coarser, const std::vector<Hazard>& ruling,
                         const std::vector<CellRef>& cells);

} // namespace dangerline::hazard
