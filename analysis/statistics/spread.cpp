#include "analysis/statistics/spread.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/moments.hpp"
#include "analysis/statistics/quantile.hpp"

namespace thumblight::statistics {

namespace {

Moments distances_from_median(std::span<const double> group) {
  const double middle = *median(group);
  Moments distances;
  for (const double value : group) {
    distances.add(std::abs(value - middle));
  }
  return distances;
}

/// Sums of squares that the rounding of the distances alone can give.
double rounding_of(std::span<const double> group) {
  double largest = 0;
  for (const double value : group) {
    largest = std::max(largest, std::abs(value));
  }
  const double step = 4 * std::numeric_limits<double>::epsilon() * largest;
  return static_cast<double>(group.size()) * step * step;
}

double sum_of_squares(const Moments& moments) {
  return moments.n() < 2 ? 0 : *moments.variance() * static_cast<double>(moments.n() - 1);
}

double grand_mean(const std::vector<Moments>& groups, double n) {
  double sum = 0;
  for (const Moments& group : groups) {
    sum += *group.mean() * static_cast<double>(group.n());
  }
  return sum / n;
}

}  // namespace

std::optional<SpreadTest> brown_forsythe_test(const std::vector<std::span<const double>>& groups) {
  const bool some_empty =
      std::any_of(groups.begin(), groups.end(), [](const auto& group) { return group.empty(); });
  if (groups.size() < 2 || some_empty) {
    return std::nullopt;
  }
  std::vector<Moments> distances;
  double n = 0;
  double within = 0;
  double rounding = 0;
  for (const auto& group : groups) {
    require_finite(group, "of a group");
    distances.push_back(distances_from_median(group));
    n += static_cast<double>(group.size());
    within += sum_of_squares(distances.back());
    rounding += rounding_of(group);
  }
  const auto count = static_cast<double>(groups.size());
  if (n <= count || within <= rounding) {
    return std::nullopt;
  }
  const double mean = grand_mean(distances, n);
  double between = 0;
  for (const Moments& group : distances) {
    const double away = *group.mean() - mean;
    between += static_cast<double>(group.n()) * away * away;
  }
  const double w = (between / (count - 1)) / (within / (n - count));
  return SpreadTest{w, count - 1, n - count, fisher_upper_tail(w, count - 1, n - count)};
}

}  // namespace thumblight::statistics
