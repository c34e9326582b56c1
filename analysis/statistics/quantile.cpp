#include "analysis/statistics/quantile.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "analysis/statistics/checks.hpp"
#include "harness/session/error.hpp"

namespace thumblight::statistics {

double quantile_of_sorted(std::span<const double> sorted, double p) {
  const double position = static_cast<double>(sorted.size() - 1) * p;
  const auto below = static_cast<std::size_t>(position);
  const std::size_t above = std::min(below + 1, sorted.size() - 1);
  return std::lerp(sorted[below], sorted[above], position - std::floor(position));
}

std::optional<double> quantile(std::span<const double> values, double p) {
  require_finite(values, "of a sample");
  if (!(p >= 0 && p <= 1)) {
    throw Error("a quantile is asked for a share from 0 to 1");
  }
  if (values.empty()) {
    return std::nullopt;
  }
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  return quantile_of_sorted(sorted, p);
}

std::optional<double> median(std::span<const double> values) {
  require_finite(values, "of a sample");
  if (values.empty()) {
    return std::nullopt;
  }
  std::vector<double> copy(values.begin(), values.end());
  const auto middle = copy.begin() + static_cast<std::ptrdiff_t>(copy.size() / 2);
  std::nth_element(copy.begin(), middle, copy.end());
  if (copy.size() % 2 == 1) {
    return *middle;
  }
  return std::lerp(*std::max_element(copy.begin(), middle), *middle, 0.5);
}

std::optional<double> median_absolute_deviation(std::span<const double> values) {
  const auto middle = median(values);
  if (!middle) {
    return std::nullopt;
  }
  std::vector<double> distances;
  distances.reserve(values.size());
  for (const double value : values) {
    distances.push_back(std::abs(value - *middle));
  }
  return median(distances);
}

}  // namespace thumblight::statistics
