#include "analysis/statistics/trend.hpp"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

#include "analysis/statistics/checks.hpp"
#include "analysis/statistics/distributions.hpp"
#include "analysis/statistics/pairwise_slopes.hpp"
#include "analysis/statistics/quantile.hpp"
#include "harness/session/error.hpp"

namespace thumblight::statistics {

namespace {

/// k (k - 1) (2 k + 5), of all points or of a group of ties in Kendall's variance.
double kendall_term(double k) {
  return k * (k - 1) * (2 * k + 5);
}

double tie_terms(std::span<const double> values) {
  std::vector<double> sorted(values.begin(), values.end());
  std::sort(sorted.begin(), sorted.end());
  double sum = 0;
  for (auto group = sorted.begin(); group != sorted.end();) {
    const auto next = std::upper_bound(group, sorted.end(), *group);
    sum += kendall_term(static_cast<double>(next - group));
    group = next;
  }
  return sum;
}

double kendall_sd(std::span<const double> x, std::span<const double> y) {
  const double all = kendall_term(static_cast<double>(x.size()));
  return std::sqrt(std::max(0.0, (all - tie_terms(x) - tie_terms(y)) / 18));
}

double median_slope(const PairwiseSlopes& slopes) {
  const double upper = slopes.at_rank(slopes.size() / 2 + 1);
  return slopes.size() % 2 == 1 ? upper : std::lerp(slopes.at_rank(slopes.size() / 2), upper, 0.5);
}

std::optional<Interval> slope_interval(const PairwiseSlopes& slopes, double sd, double level) {
  const auto all = static_cast<double>(slopes.size());
  const double reach = normal_quantile(0.5 + level / 2) * sd;
  const double low = std::nearbyint((all - reach) / 2);
  const double high = std::nearbyint((all + reach) / 2) + 1;
  if (low < 1 || high > all) {
    return std::nullopt;
  }
  return Interval{slopes.at_rank(static_cast<std::uint64_t>(low)),
                  slopes.at_rank(static_cast<std::uint64_t>(high)), level};
}

double intercept_for(std::span<const double> x, std::span<const double> y, double slope) {
  std::vector<double> residuals;
  residuals.reserve(x.size());
  for (std::size_t i = 0; i < x.size(); ++i) {
    residuals.push_back(y[i] - slope * x[i]);
  }
  return *median(residuals);
}

void check(std::span<const double> x, std::span<const double> y, double level) {
  require_share(level, "level of confidence");
  require_finite(x, "of x");
  require_finite(y, "of y");
  if (x.size() != y.size()) {
    throw Error("a trend takes one x for every y, not " + std::to_string(x.size()) + " for " +
                std::to_string(y.size()));
  }
}

bool all_equal(std::span<const double> x) {
  return std::adjacent_find(x.begin(), x.end(), std::not_equal_to<>()) == x.end();
}

}  // namespace

bool Trend::resolved() const {
  return slope_interval && (slope_interval->low > 0 || slope_interval->high < 0);
}

std::optional<Trend> theil_sen_trend(std::span<const double> x, std::span<const double> y,
                                     double level) {
  check(x, y, level);
  if (all_equal(x)) {
    return std::nullopt;
  }
  const auto slopes =
      x.size() <= kMostPointsForAllSlopes ? listed_slopes(x, y) : counted_slopes(x, y);
  const double slope = median_slope(*slopes);
  return Trend{slope, intercept_for(x, y, slope), slope_interval(*slopes, kendall_sd(x, y), level)};
}

std::optional<Trend> theil_sen_trend(std::span<const double> y, double level) {
  std::vector<double> index(y.size());
  std::iota(index.begin(), index.end(), 0.0);
  return theil_sen_trend(index, y, level);
}

}  // namespace thumblight::statistics
