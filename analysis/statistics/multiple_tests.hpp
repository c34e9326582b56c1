#pragma once

#include <cstddef>
#include <span>
#include <vector>

namespace thumblight::statistics {

/// Holm's step-down adjustment (Scandinavian Journal of Statistics 6, 1979, 65-70): probabilities
/// that may be held against 1 - level, each, however many comparisons were made together. In the
/// order given; never above 1. Throws `Error` at a probability outside 0 to 1.
std::vector<double> holm_adjusted(std::span<const double> p_values);

/// The same, one probability after another, for those who need not see the great ones: they come in
/// ascending order, and all `count` of them count whether they are asked for or not.
class HolmSteps {
 public:
  explicit HolmSteps(std::size_t count) : left_(count) {}

  /// The next probability adjusted; never less than the one before.
  double next(double p);

 private:
  std::size_t left_;
  double greatest_ = 0;
};

}  // namespace thumblight::statistics
