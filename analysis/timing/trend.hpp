#pragma once

#include <vector>

#include "analysis/timing/robust_line.hpp"

namespace thumblight::timing {

/// How the offset between two clocks runs: a robust line, and, over long runs, the median of its
/// neighbourhood beside it, because no crystal keeps one rate for a day.
class Trend {
 public:
  Trend() = default;
  /// `points` are (recording time, host time - recording time) in seconds, in order of x.
  Trend(const std::vector<Point>& points, double largest_rate);

  /// The offset at recording time `x_s`, in seconds.
  double at(double x_s) const;

  /// The same trend, later by `shift_s`.
  Trend shifted(double shift_s) const;

 private:
  Line line_;
  std::vector<Point> knots_;  ///< medians of what the line leaves, in order of x
};

}  // namespace thumblight::timing
