#include "analysis/report/chart/axis.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::report::chart {

double round_step(double value) {
  const double power = std::pow(10.0, std::floor(std::log10(value)));
  for (const double factor : {1.0, 2.0, 5.0}) {
    if (factor * power >= value * (1 - 1e-9)) {
      return factor * power;
    }
  }
  return 10 * power;
}

std::vector<double> Axis::ticks() const {
  std::vector<double> ticks;
  const auto first = std::llround(low_ms / step_ms);
  const auto last = std::llround(high_ms / step_ms);
  for (auto k = first; k <= last; ++k) {
    ticks.push_back(static_cast<double>(k) * step_ms);
  }
  return ticks;
}

Axis make_axis(double low_ms, double high_ms, int most_steps) {
  constexpr double kLeastSpan_ms = 0.01;
  constexpr double kNearZero = 0.5;
  const double low = low_ms > 0 && low_ms < kNearZero * high_ms ? 0 : low_ms;
  const double span = std::max(high_ms - low, kLeastSpan_ms);
  Axis axis;
  axis.step_ms = round_step(span / most_steps);
  axis.low_ms = std::floor(low / axis.step_ms + 1e-9) * axis.step_ms;
  axis.high_ms = std::ceil((low + span) / axis.step_ms - 1e-9) * axis.step_ms;
  axis.decimals = std::max(0, static_cast<int>(-std::floor(std::log10(axis.step_ms) + 1e-9)));
  return axis;
}

}  // namespace thumblight::report::chart
