#pragma once

namespace thumblight::statistics {

/// A two-sided interval in the unit of the values it came from.
struct Interval {
  double low;
  double high;
  double level;  ///< of confidence, as a share: 0.95 for 95 %

  double half_width() const { return (high - low) / 2; }
};

}  // namespace thumblight::statistics
