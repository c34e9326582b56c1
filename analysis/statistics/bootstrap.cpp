#include "analysis/statistics/bootstrap.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <vector>

#include "analysis/statistics/bounded_draw.hpp"
#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/moments.hpp"
#include "analysis/statistics/quantile.hpp"
#include "harness/session/error.hpp"

namespace thumblight::statistics {

namespace {

constexpr std::size_t kFewestResamples = 100;
constexpr double kRoundingOfStatistic = 1e-12;

void check(std::span<const double> values, const BootstrapPlan& plan) {
  require_finite(values, "of a sample");
  require_share(plan.level, "level of confidence");
  if (plan.resamples < kFewestResamples) {
    throw Error("a bootstrap interval takes 100 resamples or more, better 10000");
  }
  if (values.size() > std::numeric_limits<std::uint32_t>::max()) {
    throw Error("a bootstrap interval takes fewer than 2^32 values");
  }
}

double finite_value(const Statistic& statistic, std::span<const double> values) {
  const double value = statistic(values);
  if (!std::isfinite(value)) {
    throw Error("the resampled statistic is not a finite number");
  }
  return value;
}

std::vector<double> resampled_sorted(std::span<const double> values, const Statistic& statistic,
                                     const BootstrapPlan& plan) {
  const auto n = static_cast<std::uint32_t>(values.size());
  const std::uint32_t favoured = (0U - n) % n;
  BoundedDraw draw(plan.seed);
  std::vector<double> sample(values.size());
  std::vector<double> results(plan.resamples);
  for (double& result : results) {
    for (double& value : sample) {
      value = values[draw.below(n, favoured)];
    }
    result = finite_value(statistic, sample);
  }
  std::sort(results.begin(), results.end());
  return results;
}

/// Skewness of the statistic's influence, by leaving out one value at a time.
double jackknife_acceleration(std::span<const double> values, const Statistic& statistic) {
  std::vector<double> rest(values.begin() + 1, values.end());
  std::vector<double> results;
  results.reserve(values.size());
  for (std::size_t left_out = 0; left_out < values.size(); ++left_out) {
    results.push_back(finite_value(statistic, rest));
    if (left_out < rest.size()) {
      rest[left_out] = values[left_out];
    }
  }
  const double mean = *moments(results).mean();
  double squares = 0;
  double cubes = 0;
  for (const double result : results) {
    const double influence = mean - result;
    squares += influence * influence;
    cubes += influence * influence * influence;
  }
  return squares > 0 ? cubes / (6 * squares * std::sqrt(squares)) : 0;
}

/// Share of the resamples below the estimate, those equal to it counted half. Sums of the same
/// values in another order differ in their last digits; they count as equal.
double share_below(std::span<const double> sorted, double estimate) {
  const double rounding = kRoundingOfStatistic * std::abs(estimate);
  const auto first = std::lower_bound(sorted.begin(), sorted.end(), estimate - rounding);
  const auto last = std::upper_bound(first, sorted.end(), estimate + rounding);
  const auto less = static_cast<double>(first - sorted.begin());
  const auto less_or_equal = static_cast<double>(last - sorted.begin());
  return (less + less_or_equal) / (2 * static_cast<double>(sorted.size()));
}

/// The share of the resamples at which the corrected end of the interval lies; absent where the
/// correction is so strong that it turns over.
std::optional<double> corrected_share(double z0, double acceleration, double z) {
  const double stretch = 1 - acceleration * (z0 + z);
  if (stretch <= 0) {
    return std::nullopt;
  }
  return normal_cdf(z0 + (z0 + z) / stretch);
}

}  // namespace

double mean_statistic(std::span<const double> values) {
  return std::accumulate(values.begin(), values.end(), 0.0) / static_cast<double>(values.size());
}

double median_statistic(std::span<const double> values) {
  return *median(values);
}

std::optional<BootstrapInterval> bca_interval(std::span<const double> values,
                                              const Statistic& statistic,
                                              const BootstrapPlan& plan) {
  check(values, plan);
  if (values.size() < 2) {
    return std::nullopt;
  }
  const double estimate = finite_value(statistic, values);
  const std::vector<double> results = resampled_sorted(values, statistic, plan);
  const double below = share_below(results, estimate);
  if (below <= 0 || below >= 1) {
    return std::nullopt;
  }
  const double z0 = normal_quantile(below);
  const double acceleration = jackknife_acceleration(values, statistic);
  const double z = normal_quantile(0.5 - plan.level / 2);
  const auto low_share = corrected_share(z0, acceleration, z);
  const auto high_share = corrected_share(z0, acceleration, -z);
  if (!low_share || !high_share) {
    return std::nullopt;
  }
  return BootstrapInterval{
      .interval = {quantile_of_sorted(results, *low_share),
                   quantile_of_sorted(results, *high_share), plan.level},
      .estimate = estimate,
      .standard_error = *moments(results).sd(),
      .bias_correction = z0,
      .acceleration = acceleration,
      .resamples = plan.resamples,
      .seed = plan.seed,
  };
}

}  // namespace thumblight::statistics
