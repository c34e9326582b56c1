#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "analysis/timing/causality.hpp"
#include "analysis/timing/robust_line.hpp"

namespace thumblight::timing {

/// The largest rate error between two clocks that is believed: a recording marked 60 images a
/// second that runs at 59.94 is off by 0.1 %, a quartz by 0.01 %.
inline constexpr double kLargestRateError = 0.005;

/// How much faster the host's clock runs than the recording's.
struct Drift {
  double rate_ppm = 0;
  double u_ppm = 0;  ///< standard uncertainty
  std::size_t n = 0;
  double residual_sd_s = 0;  ///< of one point from the line
};

inline constexpr std::size_t kFewestForDrift = 10;

/// The drift from the lights alone, because the screen portion does not drift: `points` are
/// (light, flip - light) in seconds. A straight line by least squares through what lies within four
/// robust standard deviations of the robust line. Empty for fewer than `kFewestForDrift` points.
std::optional<Drift> drift_of(const std::vector<Point>& points);

/// The rates that the drift leaves possible: all but 1 in 10,000 by Student's t, and no rate beyond
/// `kLargestRateError`.
RateRange rates_within(const Drift& drift);

}  // namespace thumblight::timing
