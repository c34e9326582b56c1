#include "analysis/statistics/spread_interval.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/moments.hpp"

namespace thumblight::statistics {
namespace {

constexpr double kUniformKurtosis = 1.8;
/// Few values rarely show the tail that they come from, so their kurtosis comes out too small; this
/// many times its excess over a uniform distribution's, by the root of n, is added. Found by
/// simulation: see the coverage test.
constexpr double kUnseenTails = 3;

double trimmed_mean(std::span<const double> values) {
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  const auto n = static_cast<double>(sorted.size());
  const double share = 1 / (2 * std::sqrt(n - 4));
  const auto cut = std::min(static_cast<std::size_t>(share * n), (sorted.size() - 1) / 2);
  Moments kept;
  for (std::size_t k = cut; k < sorted.size() - cut; ++k) {
    kept.add(sorted[k]);
  }
  return *kept.mean();
}

double sum_of_squares(std::span<const double> values) {
  const Moments all = moments(values);
  return *all.variance() * static_cast<double>(all.n() - 1);
}

/// n sum (y - m)^4 / (sum (y - mean)^2)^2 about the trimmed mean m.
double kurtosis(std::span<const double> values, double squares) {
  const double middle = trimmed_mean(values);
  double fourths = 0;
  for (const double value : values) {
    const double square = (value - middle) * (value - middle);
    fourths += square * square;
  }
  return static_cast<double>(values.size()) * fourths / (squares * squares);
}

struct VarianceLimits {
  double low;
  double high;
};

VarianceLimits variance_limits(std::span<const double> values, double squares, double dof,
                               double level) {
  if (!(squares > 0)) {
    return {0, 0};
  }
  const auto n = static_cast<double>(values.size());
  const double factor = student_two_sided_factor(level, dof);
  const double c = n / (n - std::min(factor, n / 2));
  const double seen = kurtosis(values, squares);
  const double likely = seen + std::max(seen - kUniformKurtosis, 0.0) * kUnseenTails / std::sqrt(n);
  const double scatter = std::max(likely - (n - 3) / n, 0.0);
  const double se = c * std::sqrt(scatter / dof);
  const double middle = std::log(c * squares / dof);
  return {std::exp(middle - factor * se), std::exp(middle + factor * se)};
}

}  // namespace

std::optional<SpreadInterval> spread_interval(std::span<const double> residuals, std::size_t fitted,
                                              std::optional<double> instrument_u, double level) {
  require_finite(residuals, "of a spread");
  require_share(level, "level of confidence");
  if (residuals.size() < kFewestForSpread) {
    return std::nullopt;
  }
  const double squares = sum_of_squares(residuals);
  const auto dof = static_cast<double>(residuals.size() - fitted);
  const double variance = squares / dof;
  const VarianceLimits limits = variance_limits(residuals, squares, dof, level);
  SpreadInterval result;
  result.n = residuals.size();
  result.observed_sd = std::sqrt(variance);
  result.instrument_u = instrument_u;
  result.level = level;
  result.high = std::sqrt(limits.high);
  if (!instrument_u) {
    return result;
  }
  require_not_negative(*instrument_u, "standard uncertainty of the instrument");
  const double taken = *instrument_u * *instrument_u;
  const double most = taken * (1 + kInstrumentDoubt) * (1 + kInstrumentDoubt);
  const double least = taken * (1 - kInstrumentDoubt) * (1 - kInstrumentDoubt);
  const double left = variance - taken;
  if (left > 0) {
    result.sd = std::sqrt(left);
  }
  result.low = std::sqrt(std::max(left - std::hypot(variance - limits.low, most - taken), 0.0));
  result.high = std::sqrt(std::max(left, 0.0) + std::hypot(limits.high - variance, taken - least));
  return result;
}

}  // namespace thumblight::statistics
