#include "analysis/statistics/location.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/moments.hpp"

namespace thumblight::statistics {

namespace {

/// Confidence that the median lies between the values of rank `low_rank` from either end.
double confidence_of_rank(std::size_t low_rank, std::size_t n) {
  return 1 - 2 * fair_binomial_cdf(low_rank - 1, n);
}

/// The highest low rank that still has the confidence; 0 if none has.
std::size_t highest_low_rank(std::size_t n, double level) {
  const double centre = static_cast<double>(n) / 2;
  const double reach = normal_quantile(0.5 + level / 2) * std::sqrt(static_cast<double>(n)) / 2;
  auto rank = static_cast<std::size_t>(std::max(0.0, std::floor(centre - reach)));
  while (2 * (rank + 1) <= n && confidence_of_rank(rank + 1, n) >= level) {
    ++rank;
  }
  while (rank > 0 && confidence_of_rank(rank, n) < level) {
    --rank;
  }
  return rank;
}

}  // namespace

std::optional<Interval> interval_of_mean(std::span<const double> values, double level) {
  require_share(level, "level of confidence");
  const Moments sample = moments(values);
  if (sample.n() < 2) {
    return std::nullopt;
  }
  const double factor = student_two_sided_factor(level, static_cast<double>(sample.n() - 1));
  const double reach = factor * *sample.standard_error();
  return Interval{*sample.mean() - reach, *sample.mean() + reach, level};
}

std::optional<OrderInterval> interval_of_median(std::span<const double> values, double level) {
  require_share(level, "level of confidence");
  require_finite(values, "of a sample");
  const std::size_t n = values.size();
  const std::size_t rank = highest_low_rank(n, level);
  if (rank == 0) {
    return std::nullopt;
  }
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  return OrderInterval{
      {sorted[rank - 1], sorted[n - rank], level}, confidence_of_rank(rank, n), rank, n + 1 - rank};
}

}  // namespace thumblight::statistics
