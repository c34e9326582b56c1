#include "analysis/statistics/summary.hpp"

#include <algorithm>

#include "analysis/statistics/location.hpp"
#include "analysis/statistics/moments.hpp"
#include "analysis/statistics/quantile.hpp"

namespace thumblight::statistics {

std::optional<Summary> summarise(std::vector<double> values) {
  if (values.empty()) {
    return std::nullopt;
  }
  const Moments found = moments(values);
  std::sort(values.begin(), values.end());
  Summary summary;
  summary.n = values.size();
  summary.mean = *found.mean();
  summary.median = quantile_of_sorted(values, 0.5);
  summary.sd = found.sd();
  summary.min = values.front();
  summary.max = values.back();
  summary.p05 = quantile_of_sorted(values, 0.05);
  summary.p95 = quantile_of_sorted(values, 0.95);
  summary.ci95 = interval_of_mean(values);
  return summary;
}

}  // namespace thumblight::statistics
