#pragma once

#include <cstddef>
#include <cstdint>
#include <functional>
#include <optional>
#include <span>

#include "analysis/statistics/interval.hpp"

namespace thumblight::statistics {

/// Any figure of a sample, such as its mean or median; called with at least one value, gives a
/// finite number.
using Statistic = std::function<double(std::span<const double>)>;

/// The mean and the median as statistics to be resampled.
double mean_statistic(std::span<const double> values);
double median_statistic(std::span<const double> values);

struct BootstrapPlan {
  std::size_t resamples = 10'000;
  std::uint64_t seed = 20'260'301;  ///< stated with the result: the same seed, the same resamples
  double level = 0.95;
};

struct BootstrapInterval {
  Interval interval;
  double estimate;         ///< the statistic of the sample itself
  double standard_error;   ///< standard deviation of the statistic over the resamples
  double bias_correction;  ///< z0
  double acceleration;     ///< a, from the jackknife; 0 where leaving one out changes nothing
  std::size_t resamples;
  std::uint64_t seed;
};

/// Bias-corrected and accelerated interval (Efron, JASA 82, 1987, 171-185). Resamples that equal
/// the estimate (to 1 part in 10^12) count half on either side in z0, which matters for medians and
/// for quantised values; the interval's ends are type-7 quantiles of the resampled statistics. The
/// resamples are the same on every platform. Absent below two values, where every resample lies on
/// one side of the estimate, and where the correction is too strong to mean anything. Throws
/// `Error` for fewer than 100 resamples, for more than 2^32 - 1 values, or if the statistic is not
/// finite.
std::optional<BootstrapInterval> bca_interval(std::span<const double> values,
                                              const Statistic& statistic,
                                              const BootstrapPlan& plan = {});

}  // namespace thumblight::statistics
