#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace thumblight::statistics {

/// A closed interval, in the unit of the values.
struct Interval {
  double low = 0;
  double high = 0;
};

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
  std::optional<Interval> ci95;  ///< 95 % interval of the mean by Student's t; empty for one value
};

/// The summary of finite values; empty where there is none. Mean and SD by Welford's recurrence
/// (Technometrics 4, 1962), which loses no digits to a large common part.
std::optional<Summary> summarise(std::vector<double> values);

/// Quantile `p` (0 to 1) of sorted values by linear interpolation at (n - 1) p: type 7 in Hyndman
/// and Fan, The American Statistician 50, 1996. `sorted` must not be empty.
double quantile(const std::vector<double>& sorted, double p);

}  // namespace thumblight::statistics
