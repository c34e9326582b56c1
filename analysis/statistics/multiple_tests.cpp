#include "analysis/statistics/multiple_tests.hpp"

#include <algorithm>
#include <numeric>

#include "harness/session/error.hpp"

namespace thumblight::statistics {

std::vector<double> holm_adjusted(std::span<const double> p_values) {
  if (!std::all_of(p_values.begin(), p_values.end(), [](double p) { return p >= 0 && p <= 1; })) {
    throw Error("a probability to be adjusted lies between 0 and 1");
  }
  std::vector<std::size_t> order(p_values.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t i, std::size_t j) { return p_values[i] < p_values[j]; });
  std::vector<double> adjusted(p_values.size());
  double greatest = 0;
  for (std::size_t rank = 0; rank < order.size(); ++rank) {
    const double scaled = static_cast<double>(order.size() - rank) * p_values[order[rank]];
    greatest = std::max(greatest, std::min(1.0, scaled));
    adjusted[order[rank]] = greatest;
  }
  return adjusted;
}

}  // namespace thumblight::statistics
