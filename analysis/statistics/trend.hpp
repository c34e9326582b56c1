#pragma once

#include <cstddef>
#include <optional>
#include <span>

#include "analysis/statistics/interval.hpp"

namespace thumblight::statistics {

/// A slow change over a session, that a few wild values cannot feign.
struct Trend {
  double slope;                            ///< unit of y per unit of x
  double intercept;                        ///< y at x = 0: the median of y - slope * x
  std::optional<Interval> slope_interval;  ///< absent where too few pairs reach the level

  /// Whether the interval leaves out a slope of zero; false without an interval.
  bool resolved() const;
};

/// Up to this many points every pairwise slope is written down (17 MB); above, the same slopes are
/// counted by merge sort and bisection instead, in memory that grows with n and time with n log n.
inline constexpr std::size_t kMostPointsForAllSlopes = 2048;

/// Theil's slope, the median of the slopes between all pairs of points with different x, with the
/// rank interval of Sen (JASA 63, 1968, 1379-1389) by the normal approximation to Kendall's count,
/// corrected for ties in either. `x` is the press's index or its time. Absent unless two points
/// differ in x. Throws `Error` if x and y differ in number.
std::optional<Trend> theil_sen_trend(std::span<const double> x, std::span<const double> y,
                                     double level = 0.95);

/// The same against the index 0, 1, 2 ...
std::optional<Trend> theil_sen_trend(std::span<const double> y, double level = 0.95);

}  // namespace thumblight::statistics
