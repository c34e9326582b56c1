#include "analysis/statistics/comparison.hpp"

namespace thumblight::statistics {

Comparison compare(std::span<const double> a, std::span<const double> b, double level) {
  return {welch_difference(a, b, level), hodges_lehmann_shift(a, b, level), rank_sum_test(a, b),
          probability_a_faster(a, b, level), brown_forsythe_test({a, b})};
}

}  // namespace thumblight::statistics
