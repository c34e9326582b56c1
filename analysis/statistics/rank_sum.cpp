#include "analysis/statistics/rank_sum.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/ordered_double.hpp"
#include "analysis/statistics/rank_null.hpp"

namespace thumblight::statistics {

namespace {

/// Pairs in which the value of `a` is greater, equal pairs counted half.
double pairs_greater(std::span<const double> a, std::span<const double> b) {
  std::vector<double> sorted(b.begin(), b.end());
  std::sort(sorted.begin(), sorted.end());
  double twice = 0;
  for (const double value : a) {
    const auto equal = std::equal_range(sorted.begin(), sorted.end(), value);
    twice += static_cast<double>(equal.first - sorted.begin()) +
             static_cast<double>(equal.second - sorted.begin());
  }
  return twice / 2;
}

/// Sum of t^3 - t over the groups of t equal values in both samples together.
double tie_sum(std::span<const double> a, std::span<const double> b) {
  std::vector<double> pooled(a.begin(), a.end());
  pooled.insert(pooled.end(), b.begin(), b.end());
  std::sort(pooled.begin(), pooled.end());
  double sum = 0;
  for (auto group = pooled.begin(); group != pooled.end();) {
    const auto next = std::upper_bound(group, pooled.end(), *group);
    const auto size = static_cast<double>(next - group);
    sum += size * (size * size - 1);
    group = next;
  }
  return sum;
}

double tie_corrected_variance(std::size_t m, std::size_t n, double ties) {
  const auto all = static_cast<double>(m + n);
  const double pairs = static_cast<double>(m) * static_cast<double>(n);
  return std::max(0.0, pairs / 12 * ((all + 1) - ties / (all * (all - 1))));
}

double exact_two_sided_p(std::size_t m, std::size_t n, double u_lesser) {
  const std::vector<double> cdf = rank_sum_null_cdf(m, n);
  return std::min(1.0, 2 * cdf[static_cast<std::size_t>(u_lesser)]);
}

/// Variance of the estimate if the true probability were `p` (Hanley and McNeil), with the
/// samples' sizes replaced by their mean as Newcombe does.
double faster_variance(double p, double m, double n) {
  const double spare = (m + n) / 2 - 1;
  return p * (1 - p) * (1 + spare * ((1 - p) / (2 - p) + p / (1 + p))) / (m * n);
}

/// The least probability that the estimate does not contradict at `z` standard deviations.
double lower_limit(double estimate, double z, double m, double n) {
  return least_double_that(0, estimate, [&](double p) {
    return estimate - p <= z * std::sqrt(faster_variance(p, m, n));
  });
}

}  // namespace

std::optional<RankSumTest> rank_sum_test(std::span<const double> a, std::span<const double> b) {
  require_finite(a, "of sample A");
  require_finite(b, "of sample B");
  if (a.empty() || b.empty()) {
    return std::nullopt;
  }
  const double pairs = static_cast<double>(a.size()) * static_cast<double>(b.size());
  const double ties = tie_sum(a, b);
  RankSumTest test{};
  test.u_a = pairs_greater(a, b);
  test.u_b = pairs - test.u_a;
  test.ties = ties > 0;
  test.mean_u = pairs / 2;
  test.sd_u = std::sqrt(tie_corrected_variance(a.size(), b.size(), ties));
  if (test.sd_u > 0) {
    const double away = std::abs(test.u_a - test.mean_u);
    test.z = (test.u_a - test.mean_u) / test.sd_u;
    test.p_asymptotic = 2 * normal_upper_tail(away / test.sd_u);
    test.p_continuity = std::min(1.0, 2 * normal_upper_tail((away - 0.5) / test.sd_u));
  }
  if (!test.ties && std::max(a.size(), b.size()) <= kMostForExactRanks) {
    test.p_exact = exact_two_sided_p(a.size(), b.size(), std::min(test.u_a, test.u_b));
  }
  return test;
}

std::optional<FasterProbability> probability_a_faster(std::span<const double> a,
                                                      std::span<const double> b, double level) {
  require_finite(a, "of sample A");
  require_finite(b, "of sample B");
  require_share(level, "level of confidence");
  if (a.empty() || b.empty()) {
    return std::nullopt;
  }
  const auto m = static_cast<double>(a.size());
  const auto n = static_cast<double>(b.size());
  const double z = normal_quantile(0.5 + level / 2);
  const double faster = pairs_greater(b, a) / (m * n);
  const double slower = pairs_greater(a, b) / (m * n);
  const Interval interval{lower_limit(faster, z, m, n), 1 - lower_limit(slower, z, m, n), level};
  return FasterProbability{faster, interval};
}

}  // namespace thumblight::statistics
