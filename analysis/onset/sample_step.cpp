#include "analysis/onset/sample_step.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace thumblight::onset {
namespace {

constexpr double kGuard_s = 0.004;  ///< the edge was found to within this

struct Level {
  double mean = 0;
  double noise = 0;
  std::size_t count = 0;
};

Level level_of(const std::vector<double>& time_s, const std::vector<double>& value, double from_s,
               double to_s) {
  Level level;
  double m2 = 0;
  for (std::size_t i = 0; i < value.size(); ++i) {
    if (time_s[i] >= from_s && time_s[i] < to_s) {
      ++level.count;
      const double off = value[i] - level.mean;
      level.mean += off / static_cast<double>(level.count);
      m2 += off * (value[i] - level.mean);
    }
  }
  level.noise = level.count > 1 ? std::sqrt(m2 / static_cast<double>(level.count - 1)) : 0;
  return level;
}

/// The settled level after the edge: the rise is over where the mean of what follows stops moving.
Level settled_level(const std::vector<double>& time_s, const std::vector<double>& value,
                    double edge_s) {
  const double end_s = time_s.back();
  const double span_s = end_s - edge_s;
  return level_of(time_s, value, edge_s + 0.5 * span_s, end_s + 1);
}

/// When the samples, running from `first`, pass `level` for good: a straight line through the
/// samples about the crossing, so that noise is averaged.
std::optional<double> crossing_s(const SampleWindow& window, const std::vector<double>& value,
                                 double edge_s, double before, double height, double share,
                                 double noise) {
  const double level = before + share * height;
  const double sign = height > 0 ? 1 : -1;
  std::size_t at = value.size();
  for (std::size_t i = 1; i < value.size(); ++i) {
    const bool near = window.time_s[i] > edge_s - 4 * kGuard_s;
    const bool above = sign * (value[i] - level) >= 0;
    if (!near || !above) {
      continue;
    }
    // For good: the next samples stay above on the whole.
    double ahead = 0;
    double count = 0;
    for (std::size_t j = i; j < value.size() && window.time_s[j] < window.time_s[i] + 0.001; ++j) {
      ahead += sign * (value[j] - level);
      count += 1;
    }
    if (count < 2 || ahead / count > -0.5 * noise) {
      at = i;
      break;
    }
  }
  if (at == value.size()) {
    return std::nullopt;
  }
  const double low = value[at - 1];
  const double high = value[at];
  const double part = high != low ? std::clamp((level - low) / (high - low), 0.0, 1.0) : 0.5;
  return window.time_s[at - 1] + part * (window.time_s[at] - window.time_s[at - 1]);
}

/// Period of a ripple on the settled level (a pulsed backlight); 0 where there is none.
double ripple_s(const std::vector<double>& time_s, const std::vector<double>& value, double from_s,
                const Level& before, const Level& after) {
  if (after.noise < 4 * before.noise || after.noise < 0.05 * std::abs(after.mean - before.mean)) {
    return 0;
  }
  double first_s = 0;
  double last_s = 0;
  double count = 0;
  bool armed = false;
  for (std::size_t i = 0; i < value.size(); ++i) {
    if (time_s[i] < from_s) {
      continue;
    }
    const double off = (value[i] - after.mean) / after.noise;
    if (armed && off > 0.3) {
      first_s = count == 0 ? time_s[i] : first_s;
      last_s = time_s[i];
      count += 1;
      armed = false;
    }
    armed = armed || off < -0.3;
  }
  return count > 2 ? (last_s - first_s) / (count - 1) : 0;
}

/// A running mean over `half` samples to each side: noise must not trip the threshold early.
std::vector<double> smoothed(const std::vector<double>& value, std::size_t half) {
  std::vector<double> sums(value.size() + 1, 0);
  for (std::size_t i = 0; i < value.size(); ++i) {
    sums[i + 1] = sums[i] + value[i];
  }
  std::vector<double> means(value.size());
  for (std::size_t i = 0; i < value.size(); ++i) {
    const std::size_t reach = std::min({half, i, value.size() - 1 - i});
    means[i] = (sums[i + reach + 1] - sums[i - reach]) / static_cast<double>(2 * reach + 1);
  }
  return means;
}

}  // namespace

std::optional<double> find_coupling_s(const SampleWindow& window, double edge_s) {
  const Level before = level_of(window.time_s, window.value, -1e18, edge_s - kGuard_s);
  const double end_s = window.time_s.back();
  const double from_s = edge_s + 0.012;
  const double span_s = end_s - from_s;
  if (before.count < 4 || span_s < 0.01) {
    return std::nullopt;
  }
  // A straight line through the logarithm of short stretches' levels, as far as they stand out.
  constexpr double kStretch_s = 0.004;
  double n = 0;
  double t = 0;
  double y = 0;
  double tt = 0;
  double ty = 0;
  double yy = 0;
  double first = 0;
  for (double at_s = from_s; at_s + kStretch_s <= end_s; at_s += kStretch_s) {
    const Level level = level_of(window.time_s, window.value, at_s, at_s + kStretch_s);
    const double height = level.mean - before.mean;
    first = n == 0 ? height : first;
    const double error =
        before.noise / std::sqrt(static_cast<double>(std::max<std::size_t>(level.count, 1)));
    if (level.count == 0 || height * first <= 0 || std::abs(height) < 6 * error ||
        std::abs(height) < 0.05 * std::abs(first)) {
      break;
    }
    const double middle_s = at_s - from_s;
    const double log_height = std::log(std::abs(height));
    n += 1;
    t += middle_s;
    y += log_height;
    tt += middle_s * middle_s;
    ty += middle_s * log_height;
    yy += log_height * log_height;
  }
  if (n < 4) {
    return std::nullopt;
  }
  const double slope = (n * ty - t * y) / (n * tt - t * t);
  const double rest = (yy - y * y / n - slope * (ty - t * y / n)) / n;
  constexpr double kCrooked = 0.02;  // pulses of light are no exponential
  constexpr double kSlowest_s = 3;   // slower than this it does no harm within the window
  if (slope >= -1 / kSlowest_s || rest > kCrooked) {
    return std::nullopt;
  }
  return -1 / slope;
}

std::vector<double> without_coupling(const SampleWindow& window, double edge_s, double coupling_s) {
  // A first-order high-pass loses y / coupling each second: that is added up again.
  const Level before = level_of(window.time_s, window.value, -1e18, edge_s - kGuard_s);
  std::vector<double> level(window.value.size());
  double lost = 0;
  for (std::size_t i = 0; i < level.size(); ++i) {
    const double here = window.value[i] - before.mean;
    if (i > 0) {
      const double last = window.value[i - 1] - before.mean;
      lost += (here + last) / 2 * (window.time_s[i] - window.time_s[i - 1]) / coupling_s;
    }
    level[i] = window.value[i] + lost;
  }
  return level;
}

std::optional<SampleStep> find_sample_step(const SampleWindow& window, double edge_s,
                                           double threshold, std::optional<double> coupling_s) {
  if (window.value.size() < 8) {
    return std::nullopt;
  }
  const std::vector<double> value =
      coupling_s ? without_coupling(window, edge_s, *coupling_s) : window.value;
  const Level before = level_of(window.time_s, value, window.time_s.front() - 1, edge_s - kGuard_s);
  const Level after = settled_level(window.time_s, value, edge_s);
  const double height = after.mean - before.mean;
  if (before.count < 3 || after.count < 3 || std::abs(height) < 5 * before.noise) {
    return std::nullopt;
  }
  const double sample_s = std::max(1e-9, (window.time_s.back() - window.time_s.front()) /
                                             static_cast<double>(window.time_s.size() - 1));
  // As much smoothing as brings the noise well below the threshold, and no more.
  const double wanted = 0.2 * threshold * std::abs(height);
  const double times = before.noise / std::max(wanted, 1e-300);
  const double period_s =
      ripple_s(window.time_s, value, edge_s + 0.5 * (window.time_s.back() - edge_s), before, after);
  const bool pulsed = period_s > 3 * sample_s && period_s < 0.008;
  const double wide =
      pulsed ? period_s / 2 / sample_s : std::clamp((times * times - 1) / 2, 0.0, 0.001 / sample_s);
  const auto half = static_cast<std::size_t>(std::lround(wide));
  const std::vector<double> smooth = smoothed(value, half);
  const auto cross = [&](double share) {
    return crossing_s(window, smooth, edge_s, before.mean, height, share, before.noise);
  };
  const std::optional<double> at = cross(threshold);
  const std::optional<double> low = cross(0.6 * threshold);
  const std::optional<double> high = cross(1.4 * threshold);
  if (!at || !low || !high) {
    return std::nullopt;
  }
  SampleStep step;
  step.t_s = *at;
  step.t50_s = cross(0.5).value_or(*at);
  step.t90_s = cross(0.9).value_or(step.t50_s);
  step.height = height;
  const double slope =
      std::max(0.8 * threshold * std::abs(height) / std::max(*high - *low, sample_s / 4), 1e-300);
  const double left = before.noise / std::sqrt(2.0 * static_cast<double>(half) + 1);
  const double level_noise =
      std::hypot(left, threshold * after.noise / std::sqrt(static_cast<double>(after.count)));
  step.u_s = std::hypot(level_noise / slope, sample_s / std::sqrt(12.0));
  if (pulsed) {
    step.u_s =
        std::hypot(step.u_s, period_s / std::sqrt(12.0));  // the light itself waits for a pulse
  }
  return step;
}

}  // namespace thumblight::onset
