#include "analysis/timing/mean_bounds.hpp"

#include <algorithm>
#include <cmath>

#include "analysis/timing/split.hpp"
#include "analysis/timing/timebase.hpp"

namespace thumblight::timing {
namespace {

/// The means over the presses that have every instant.
struct MeanInstants {
  std::size_t n = 0;
  double press_s = 0;
  double light_s = 0;
  double delivery_s = 0;  ///< arrival - press, each on its own clock
  double display_s = 0;   ///< light - arrival, likewise
  double render_s = 0;
  double press_variance_s2 = 0;  ///< of one instant, mean over the presses
  double light_variance_s2 = 0;
};

double variance_of(const std::optional<onset::Instant>& instant) {
  const double u_s = instant ? instant->u_s.value_or(0) : 0;
  return u_s * u_s;
}

MeanInstants mean_instants(const std::vector<PressRow>& rows) {
  MeanInstants mean;
  for (const PressRow& row : rows) {
    if (!row.press_s || !row.light_s || !row.arrival_s || !row.flip_s) {
      continue;
    }
    const double weight = 1 / static_cast<double>(++mean.n);
    const auto add = [weight](double& into, double value) { into += (value - into) * weight; };
    add(mean.press_s, *row.press_s);
    add(mean.light_s, *row.light_s);
    add(mean.delivery_s, *row.arrival_s - *row.press_s);
    add(mean.display_s, *row.light_s - *row.arrival_s);
    add(mean.render_s, *row.flip_s - *row.arrival_s);
    add(mean.press_variance_s2, variance_of(row.recorded->press));
    add(mean.light_variance_s2, variance_of(row.recorded->light));
  }
  return mean;
}

void take_in(std::optional<Bounds>& bounds, double value_ms) {
  if (!bounds) {
    bounds = Bounds{value_ms, value_ms};
  }
  bounds->low_ms = std::min(bounds->low_ms, value_ms);
  bounds->high_ms = std::max(bounds->high_ms, value_ms);
}

void widen(std::optional<Bounds>& bounds, double by_s) {
  bounds->low_ms -= by_s * kMsPerSecond;
  bounds->high_ms += by_s * kMsPerSecond;
}

/// No portion is negative, whatever the uncertainty of the instants lets a corner say.
void hold_above(std::optional<Bounds>& bounds, double least_ms) {
  bounds->low_ms = std::max(bounds->low_ms, least_ms);
  bounds->high_ms = std::max(bounds->high_ms, least_ms);
}

}  // namespace

std::vector<ClockLimit> clock_limits(const std::vector<PressRow>& rows, const SharedDoubts& shared,
                                     std::optional<double> scan_out_s, double flip_half_width_s) {
  std::vector<ClockLimit> limits;
  limits.reserve(2 * rows.size());
  for (std::size_t k = 0; k < rows.size(); ++k) {
    const PressRow& row = rows[k];
    if (row.press_s && row.arrival_s) {
      const double doubt_s = widening_s(row.recorded->press) + kWidening * shared.press_s;
      limits.push_back({*row.press_s, *row.arrival_s - *row.press_s + doubt_s, true, k});
    }
    if (row.light_s && row.submit_s) {
      double earliest_s = *row.submit_s;
      if (scan_out_s && row.flip_s) {
        earliest_s = std::max(earliest_s, *row.flip_s - flip_half_width_s + *scan_out_s);
      }
      const double doubt_s = widening_s(row.recorded->light) + kWidening * shared.light_s;
      limits.push_back({*row.light_s, earliest_s - *row.light_s - doubt_s, false, k});
    }
  }
  return limits;
}

PerPortion<std::optional<Bounds>> bound_means(const std::vector<PressRow>& rows,
                                              const std::vector<Clock>& corners,
                                              const SharedDoubts& shared) {
  PerPortion<std::optional<Bounds>> bounds;
  const MeanInstants mean = mean_instants(rows);
  if (mean.n == 0 || corners.empty()) {
    return bounds;
  }
  for (const Clock& clock : corners) {
    const double delivery_s = mean.delivery_s - clock.offset_at(mean.press_s);
    const double display_s = mean.display_s + clock.offset_at(mean.light_s);
    take_in(bounds[Portion::kDelivery], delivery_s * kMsPerSecond);
    take_in(bounds[Portion::kDisplay], display_s * kMsPerSecond);
    take_in(bounds[Portion::kScreen], (display_s - mean.render_s) * kMsPerSecond);
  }
  const auto n = static_cast<double>(mean.n);
  const double press_s =
      kWidening * std::hypot(shared.press_s, std::sqrt(mean.press_variance_s2 / n));
  const double light_s =
      kWidening * std::hypot(shared.light_s, std::sqrt(mean.light_variance_s2 / n));
  widen(bounds[Portion::kDelivery], press_s);
  widen(bounds[Portion::kScreen], light_s);
  widen(bounds[Portion::kDisplay], light_s);
  hold_above(bounds[Portion::kDelivery], 0);
  hold_above(bounds[Portion::kScreen], 0);
  hold_above(bounds[Portion::kDisplay], mean.render_s * kMsPerSecond);
  return bounds;
}

}  // namespace thumblight::timing
