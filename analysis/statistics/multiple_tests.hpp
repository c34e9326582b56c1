#pragma once

#include <span>
#include <vector>

namespace thumblight::statistics {

/// Holm's step-down adjustment (Scandinavian Journal of Statistics 6, 1979, 65-70): probabilities
/// that may be held against 1 - level, each, however many comparisons were made together. In the
/// order given; never above 1. Throws `Error` at a probability outside 0 to 1.
std::vector<double> holm_adjusted(std::span<const double> p_values);

}  // namespace thumblight::statistics
