#include "analysis/onset/mains_ripple.hpp"

#include <cmath>
#include <numbers>

namespace thumblight::onset {
namespace {

constexpr double kSlowest = 3;  ///< swings in the stretch

/// One swing at the frames, its mean taken off.
std::vector<double> swing(const std::vector<double>& time_s, double hz, double phase) {
  std::vector<double> wave;
  wave.reserve(time_s.size());
  double sum = 0;
  for (const double t_s : time_s) {
    wave.push_back(std::cos(2 * std::numbers::pi * hz * (t_s - time_s.front()) - phase));
    sum += wave.back();
  }
  for (double& value : wave) {
    value -= sum / static_cast<double>(wave.size());
  }
  return wave;
}

double product(const std::vector<double>& a, const std::vector<double>& b) {
  double sum = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    sum += a[i] * b[i];
  }
  return sum;
}

/// How many swings of `hz` the frames show in the whole stretch.
double swings_seen(const std::vector<double>& time_s, double hz) {
  const double span_s = time_s.back() - time_s.front();
  const double frame_hz = static_cast<double>(time_s.size() - 1) / span_s;
  return std::abs(hz - frame_hz * std::round(hz / frame_hz)) * span_s;
}

void take_out(const std::vector<double>& time_s, double hz, std::size_t cells,
              std::vector<float>& levels) {
  const std::vector<double> even = swing(time_s, hz, 0);
  const std::vector<double> odd = swing(time_s, hz, std::numbers::pi / 2);
  const double even2 = product(even, even);
  const double odd2 = product(odd, odd);
  const double both = product(even, odd);
  const double determinant = even2 * odd2 - both * both;
  if (determinant < 1e-3 * even2 * odd2 || determinant <= 0) {
    return;
  }
  std::vector<double> by_even(cells, 0);
  std::vector<double> by_odd(cells, 0);
  for (std::size_t i = 0; i < time_s.size(); ++i) {
    for (std::size_t cell = 0; cell < cells; ++cell) {
      const auto level = static_cast<double>(levels[i * cells + cell]);
      by_even[cell] += even[i] * level;
      by_odd[cell] += odd[i] * level;
    }
  }
  for (std::size_t cell = 0; cell < cells; ++cell) {
    const double a = (odd2 * by_even[cell] - both * by_odd[cell]) / determinant;
    const double b = (even2 * by_odd[cell] - both * by_even[cell]) / determinant;
    for (std::size_t i = 0; i < time_s.size(); ++i) {
      levels[i * cells + cell] -= static_cast<float>(a * even[i] + b * odd[i]);
    }
  }
}

}  // namespace

void take_out_mains(const std::vector<double>& time_s, std::size_t cells,
                    std::vector<float>& levels) {
  constexpr std::size_t kFewestFrames = 12;
  if (time_s.size() < kFewestFrames || time_s.back() <= time_s.front()) {
    return;
  }
  for (const double hz : {100.0, 120.0}) {
    if (swings_seen(time_s, hz) > kSlowest) {
      take_out(time_s, hz, cells, levels);
    }
  }
}

}  // namespace thumblight::onset
