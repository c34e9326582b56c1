#include "analysis/onset/model_starts.hpp"

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <utility>

namespace thumblight::onset {
namespace {

/// When the step's own light has its mean, from the levels summed over the frames.
double mean_time_s(const FilmedStep& step, const PlaceSeries& place) {
  double time_s = step.start_s.front();
  for (std::size_t i = 0; i + 1 < step.start_s.size(); ++i) {
    const double share = std::clamp(static_cast<double>(place.share[i]), 0.0, 1.0);
    time_s += (1 - share) * (step.start_s[i + 1] - step.start_s[i]);
  }
  return time_s;
}

/// A first guess at the slopes: a straight line through the places' mean times.
std::pair<double, double> guess_slopes(const std::vector<FilmedStep>& steps) {
  double xx = 1e-9;
  double yy = 1e-9;
  double xt = 0;
  double yt = 0;
  for (const FilmedStep& step : steps) {
    double mean = 0;
    for (const PlaceSeries& place : step.places) {
      mean += mean_time_s(step, place) / static_cast<double>(step.places.size());
    }
    for (const PlaceSeries& place : step.places) {
      const double late_s = mean_time_s(step, place) - mean;
      xx += place.x_px * place.x_px;
      yy += place.y_px * place.y_px;
      xt += place.x_px * late_s;
      yt += place.y_px * late_s;
    }
  }
  return {xt / xx, yt / yy};
}

/// How long the frames take from a tenth to nine tenths of the step, in the middle of all places:
/// rise, exposure and the spread of a place together.
double seen_rise_s(const std::vector<FilmedStep>& steps) {
  std::vector<double> rises;
  for (const FilmedStep& step : steps) {
    for (const PlaceSeries& place : step.places) {
      double low_s = 0;
      double high_s = 0;
      for (std::size_t i = 0; i + 1 < step.start_s.size(); ++i) {
        const double here = static_cast<double>(place.share[i]);
        const double next = static_cast<double>(place.share[i + 1]);
        const auto crossing = [&](double share) {
          return step.start_s[i] +
                 (share - here) / (next - here) * (step.start_s[i + 1] - step.start_s[i]);
        };
        if (here < 0.1 && next >= 0.1 && high_s == 0) {
          low_s = crossing(0.1);
        }
        if (here < 0.9 && next >= 0.9 && high_s == 0 && low_s > 0) {
          high_s = crossing(0.9);
        }
      }
      rises.push_back(std::max(0.0, high_s - low_s));
    }
  }
  if (rises.empty()) {
    return 0;
  }
  const auto middle = rises.begin() + static_cast<std::ptrdiff_t>(rises.size() / 2);
  std::nth_element(rises.begin(), middle, rises.end());
  return *middle;
}

}  // namespace

std::vector<ModelPoint> model_starts(const std::vector<FilmedStep>& light,
                                     const ModelSearch& search) {
  const auto [slope_x, slope_y] = guess_slopes(light);
  const double seen_s = seen_rise_s(light);
  std::vector<ModelPoint> starts;
  for (const double share : {0.95, 0.6, 0.25}) {
    ModelPoint at{};
    at[kExposure] = search.exposure_s.value_or(share * search.interval_s);
    at[kSlopeX] = search.sloped_x ? slope_x : 0;
    at[kSlopeY] = search.sloped_y ? slope_y : 0;
    at[kMisfit] = 0.012;
    starts.push_back(at);
    const double blurred_s = 0.8 * at[kExposure];
    const double rise_s = std::sqrt(std::max(0.0, seen_s * seen_s - blurred_s * blurred_s));
    if (light.empty() || rise_s <= 0) {
      continue;
    }
    ModelPoint s_shaped = at;
    s_shaped[kRamp] = rise_s / 0.553;  // 10-90 % of a triangle's integral
    ModelPoint first_order = at;
    first_order[kDecay] = rise_s / std::log(9.0);
    starts.push_back(s_shaped);
    starts.push_back(first_order);
  }
  return starts;
}

}  // namespace thumblight::onset
