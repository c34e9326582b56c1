#pragma once

#include <cstddef>
#include <optional>
#include <span>

#include "analysis/statistics/interval.hpp"

namespace thumblight::statistics {

/// Difference of two means, A less B, in the unit of the values.
struct MeanDifference {
  double difference;
  double standard_error;
  std::optional<double> dof;  ///< absent if neither sample has any scatter
  std::optional<double> t;    ///< difference / standard error; absent likewise
  std::optional<double> p;    ///< two-sided; absent likewise
  Interval interval;          ///< of no width if neither sample has any scatter
};

/// Welch's t, for unequal spreads, with Satterthwaite's degrees of freedom (NIST/SEMATECH
/// e-Handbook 1.3.5.3). Absent if either sample has fewer than two values.
std::optional<MeanDifference> welch_difference(std::span<const double> a, std::span<const double> b,
                                               double level = 0.95);

/// What is known of a sample when its values are gone.
struct SampleSpread {
  std::size_t n;  ///< two or more
  double sd;
};

/// Standard error of a difference of means, and Satterthwaite's degrees of freedom for it.
struct WelchError {
  double standard_error;
  std::optional<double> dof;  ///< absent if neither sample has any scatter
};

/// The same from spreads alone, without the cost of an interval. Throws `Error` below two values.
WelchError welch_error(const SampleSpread& a, const SampleSpread& b);

/// Student's t with a pooled standard deviation, for equal spreads (same place); for checks against
/// other programs. Absent likewise.
std::optional<MeanDifference> pooled_difference(std::span<const double> a,
                                                std::span<const double> b, double level = 0.95);

}  // namespace thumblight::statistics
