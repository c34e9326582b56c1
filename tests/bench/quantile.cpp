#include "tests/bench/quantile.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::bench {

double quantile(std::vector<double> values, double share) {
  std::sort(values.begin(), values.end());
  const double place = share * static_cast<double>(values.size() - 1);
  const auto below = static_cast<std::size_t>(place);
  const std::size_t above = std::min(below + 1, values.size() - 1);
  return std::lerp(values[below], values[above], place - std::floor(place));
}

}  // namespace thumblight::bench
