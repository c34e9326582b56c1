#include "analysis/statistics/ordered_double.hpp"

#include <bit>
#include <limits>
#include <numeric>

namespace thumblight::statistics {

namespace {

constexpr std::int64_t kSign = std::numeric_limits<std::int64_t>::min();

/// IEEE 754 doubles as whole numbers in the same order; both zeros become 0.
std::int64_t to_order(double value) {
  const auto bits = std::bit_cast<std::int64_t>(value);
  return bits < 0 ? kSign - bits : bits;
}

double from_order(std::int64_t order) {
  return std::bit_cast<double>(order < 0 ? kSign - order : order);
}

}  // namespace

double least_double_that(double low, double high, const std::function<bool(double)>& reaches) {
  std::int64_t below = to_order(low);
  std::int64_t above = to_order(high);
  while (below < above) {
    const std::int64_t middle = std::midpoint(below, above);
    if (reaches(from_order(middle))) {
      above = middle;
    } else {
      below = middle + 1;
    }
  }
  return from_order(above);
}

}  // namespace thumblight::statistics
