#pragma once

#include <cstddef>
#include <optional>
#include <span>

#include "analysis/statistics/interval.hpp"

namespace thumblight::statistics {

/// Interval of the mean by Student's t: mean -/+ t * sd / sqrt(n) with n - 1 degrees of freedom
/// (NIST/SEMATECH e-Handbook 1.3.5.2). It speaks of the scatter alone: equal values give a width of
/// zero, whatever the instruments may hide. Absent below two values.
std::optional<Interval> interval_of_mean(std::span<const double> values, double level = 0.95);

/// Interval between two of the values themselves, with the confidence that it truly has.
struct OrderInterval {
  Interval interval;      ///< `level` is what was asked for
  double achieved_level;  ///< what the ranks give, at least that
  std::size_t low_rank;   ///< 1 is the least value
  std::size_t high_rank;
};

/// Interval of the median between order statistics, by the binomial distribution with a share of
/// one half (W. J. Conover, Practical Nonparametric Statistics): the narrowest pair of symmetric
/// ranks whose confidence is at least `level`. No assumption about the shape; with ties the
/// confidence is higher than stated. Absent if even the least and the greatest value do not reach
/// the level (below six values for 95 %).
std::optional<OrderInterval> interval_of_median(std::span<const double> values,
                                                double level = 0.95);

}  // namespace thumblight::statistics
