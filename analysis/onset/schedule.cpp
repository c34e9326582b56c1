#include "analysis/onset/schedule.hpp"

#include <algorithm>
#include <cmath>

namespace thumblight::onset {
namespace {

/// The time from submit to light varies by a few refreshes at most.
constexpr double kJitter_s = 0.06;
constexpr double kRateError = 0.02;
constexpr std::size_t kAnchors = 24;

using Pairs = std::vector<std::pair<std::size_t, std::size_t>>;

/// Walks on from one pair, each time looking for the light that the gap to the last pair foretells.
Pairs walk(const std::vector<double>& flash_s, const std::vector<double>& light_s,
           std::size_t flash, std::size_t light, double rate) {
  Pairs pairs = {{flash, light}};
  std::size_t next_light = light + 1;
  for (std::size_t i = flash + 1; i < flash_s.size(); ++i) {
    const double gap_s = (flash_s[i] - flash_s[pairs.back().first]) / rate;
    const double due_s = light_s[pairs.back().second] + gap_s;
    const double reach_s = kJitter_s + kRateError * gap_s;
    while (next_light < light_s.size() && light_s[next_light] < due_s - reach_s) {
      ++next_light;
    }
    std::size_t nearest = light_s.size();
    for (std::size_t j = next_light; j < light_s.size() && light_s[j] <= due_s + reach_s; ++j) {
      if (nearest == light_s.size() ||
          std::abs(light_s[j] - due_s) < std::abs(light_s[nearest] - due_s)) {
        nearest = j;
      }
    }
    if (nearest < light_s.size()) {
      pairs.emplace_back(i, nearest);
      next_light = nearest + 1;
    }
  }
  return pairs;
}

void fit_line(const std::vector<double>& flash_s, const std::vector<double>& light_s,
              ScheduleFit& fit, double rate) {
  const auto n = static_cast<double>(fit.pairs.size());
  double mean_light = 0;
  double mean_flash = 0;
  for (const auto& [flash, light] : fit.pairs) {
    mean_light += light_s[light] / n;
    mean_flash += flash_s[flash] / n;
  }
  double xx = 0;
  double xy = 0;
  for (const auto& [flash, light] : fit.pairs) {
    xx += (light_s[light] - mean_light) * (light_s[light] - mean_light);
    xy += (light_s[light] - mean_light) * (flash_s[flash] - mean_flash);
  }
  fit.rate = fit.pairs.size() >= 3 && xx > 0 ? xy / xx : rate;
  fit.offset_s = mean_flash - fit.rate * mean_light;
  double squares = 0;
  for (const auto& [flash, light] : fit.pairs) {
    const double off = flash_s[flash] - fit.offset_s - fit.rate * light_s[light];
    squares += off * off;
  }
  fit.scatter_s = fit.pairs.size() >= 3 ? std::sqrt(squares / (n - 2)) : 0;
  fit.rate_u = fit.pairs.size() >= 3 && xx > 0 ? fit.scatter_s / std::sqrt(xx) : 0;
}

}  // namespace

ScheduleFit fit_schedule(const std::vector<double>& flash_s, const std::vector<double>& light_s,
                         double rate) {
  ScheduleFit best;
  best.scatter_s = 1e9;
  for (std::size_t i = 0; i < std::min(kAnchors, flash_s.size()); ++i) {
    for (std::size_t j = 0; j < std::min(kAnchors, light_s.size()); ++j) {
      ScheduleFit fit;
      fit.pairs = walk(flash_s, light_s, i, j, rate);
      if (fit.pairs.size() < best.pairs.size()) {
        continue;
      }
      fit_line(flash_s, light_s, fit, rate);
      if (fit.pairs.size() > best.pairs.size() || fit.scatter_s < best.scatter_s) {
        best = std::move(fit);
      }
    }
  }
  return best;
}

}  // namespace thumblight::onset
