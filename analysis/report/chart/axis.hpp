#pragma once

#include <vector>

namespace thumblight::report::chart {

/// An axis of milliseconds that begins and ends at a tick.
struct Axis {
  double low_ms = 0;
  double high_ms = 1;
  double step_ms = 1;  ///< between ticks: 1, 2 or 5 times a power of ten
  int decimals = 0;    ///< that the ticks take

  std::vector<double> ticks() const;
};

/// Takes in all from `low_ms` to `high_ms`, with at most `most_steps` steps. Begins at 0 where the
/// values begin near it.
Axis make_axis(double low_ms, double high_ms, int most_steps = 10);

/// The least of 1, 2 and 5 times a power of ten that is not below `value`.
double round_step(double value);

}  // namespace thumblight::report::chart
