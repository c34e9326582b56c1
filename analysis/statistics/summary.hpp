#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/statistics/interval.hpp"

namespace thumblight::statistics {

/// What a sample looks like, in the unit of its values.
struct Summary {
  std::size_t n = 0;
  double mean = 0;
  double median = 0;
  std::optional<double> sd;  ///< divisor n - 1; empty for one value
  double min = 0;
  double max = 0;
  double p05 = 0;  ///< 5th percentile, see `quantile`
  double p95 = 0;
  std::optional<Interval> ci95;  ///< of the mean, see `interval_of_mean`; empty for one value
};

/// The summary of finite values; empty where there is none.
std::optional<Summary> summarise(std::vector<double> values);

}  // namespace thumblight::statistics
