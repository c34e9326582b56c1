#include "analysis/statistics/summary.hpp"

#include <algorithm>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

namespace thumblight::statistics {
namespace {

struct Moments {
  double mean = 0;
  double squares = 0;  ///< sum of the squared deviations from the mean
};

Moments moments(const std::vector<double>& values) {
  Moments result;
  double n = 0;
  for (const double value : values) {
    n += 1;
    const double before = value - result.mean;
    result.mean += before / n;
    result.squares += before * (value - result.mean);
  }
  return result;
}

/// Half the width of the 95 % interval of a mean.
double half_width95(double sd, double n) {
  const boost::math::students_t distribution(n - 1);
  return boost::math::quantile(distribution, 0.975) * sd / std::sqrt(n);
}

}  // namespace

double quantile(const std::vector<double>& sorted, double p) {
  const double place = static_cast<double>(sorted.size() - 1) * p;
  const auto below = static_cast<std::size_t>(std::floor(place));
  const std::size_t above = std::min(below + 1, sorted.size() - 1);
  const double share = place - static_cast<double>(below);
  return sorted[below] + share * (sorted[above] - sorted[below]);
}

std::optional<Summary> summarise(std::vector<double> values) {
  if (values.empty()) {
    return std::nullopt;
  }
  const Moments moment = moments(values);
  std::sort(values.begin(), values.end());
  Summary summary;
  summary.n = values.size();
  summary.mean = moment.mean;
  summary.median = quantile(values, 0.5);
  summary.min = values.front();
  summary.max = values.back();
  summary.p05 = quantile(values, 0.05);
  summary.p95 = quantile(values, 0.95);
  if (values.size() > 1) {
    const auto n = static_cast<double>(values.size());
    summary.sd = std::sqrt(moment.squares / (n - 1));
    const double half = half_width95(*summary.sd, n);
    summary.ci95 = Interval{moment.mean - half, moment.mean + half};
  }
  return summary;
}

}  // namespace thumblight::statistics
