#pragma once

#include "analysis/statistics/budget.hpp"

namespace thumblight::statistics {

/// The half-width that covers the sum of a normal variable of standard deviation `sd` and a
/// rectangular one of half-width `half_width` with probability `level`: the exact convolution, as
/// JCGM 101:2008 wants it where one distribution that is not normal dominates (JCGM 100:2008, G.1.5
/// and G.2.2; clause numbers from memory). Alone, the rectangular one is covered by level times its
/// half-width, 1.65 of its standard uncertainties for 95 %, where a normal one takes 1.96.
double covering_half_width(double sd, double half_width, double level = 0.95);

/// The same for a budget at its own level: its largest rectangular line that no number of presses
/// lessens, and all the others as a normal of their joint uncertainty, widened by Student's t for
/// their effective degrees of freedom. Equal to `Budget::expanded` without such a line. Holds for
/// budgets without correlations.
double covering_half_width(const Budget& budget);

}  // namespace thumblight::statistics
