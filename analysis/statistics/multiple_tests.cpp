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
  HolmSteps steps(order.size());
  for (const std::size_t place : order) {
    adjusted[place] = steps.next(p_values[place]);
  }
  return adjusted;
}

double HolmSteps::next(double p) {
  const double scaled = static_cast<double>(left_) * p;
  left_ -= left_ > 0 ? 1 : 0;
  greatest_ = std::max(greatest_, std::min(1.0, scaled));
  return greatest_;
}

}  // namespace thumblight::statistics
