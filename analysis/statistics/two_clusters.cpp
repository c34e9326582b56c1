#include "analysis/statistics/two_clusters.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/moments.hpp"
#include "analysis/statistics/quantile.hpp"

namespace thumblight::statistics {
namespace {

/// Sums of squares about the mean of the first k values, for every k.
std::vector<double> running_squares(std::span<const double> values) {
  std::vector<double> squares = {0};
  Moments so_far;
  for (const double value : values) {
    so_far.add(value);
    squares.push_back(so_far.variance().value_or(0) * static_cast<double>(so_far.n() - 1));
  }
  return squares;
}

std::size_t fewest_of(std::size_t n) {
  constexpr double kLeastShare = 0.03;
  return std::max(kFewestInCluster,
                  static_cast<std::size_t>(std::ceil(kLeastShare * static_cast<double>(n))));
}

}  // namespace

std::optional<TwoClusters> find_two_clusters(std::span<const double> values, double least_gap) {
  require_finite(values, "of a sample");
  const std::size_t n = values.size();
  if (n < kFewestForClusters) {
    return std::nullopt;
  }
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  const std::vector<double> below = running_squares(sorted);
  const std::vector<double> above =
      running_squares(std::vector<double>(sorted.rbegin(), sorted.rend()));
  const std::size_t fewest = fewest_of(n);
  const double factor = 2.7 + 35 / static_cast<double>(n);
  std::optional<TwoClusters> best;
  for (std::size_t k = fewest; k + fewest <= n; ++k) {
    const double gap = sorted[k] - sorted[k - 1];
    const double within = std::sqrt((below[k] + above[n - k]) / static_cast<double>(n - 2));
    const double threshold = std::max(factor * within, least_gap);
    if (gap > threshold && (!best || gap > best->gap)) {
      const std::span<const double> all(sorted);
      best = TwoClusters{k, n - k, gap, *median(all.subspan(k)) - *median(all.first(k)), threshold};
    }
  }
  return best;
}

}  // namespace thumblight::statistics
