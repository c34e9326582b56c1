#pragma once

#include <cmath>
#include <functional>

#include "tests/analysis/simulated_session.hpp"

/// A bench whose screen has a refresh and whose input is polled, for tests of what varies.
namespace thumblight::test {

inline constexpr double kRefreshSeconds = 1 / 59.94;

/// Delays of one press in milliseconds.
struct Delays {
  std::function<double(std::mt19937&)> delivery_ms = [](std::mt19937&) { return 4.0; };
  std::function<double(std::mt19937&)> screen_ms = [](std::mt19937&) { return 20.0; };
  double poll_s = 0;     ///< arrivals wait for a grid of this, after the delivery; 0 for none
  bool in_step = false;  ///< presses fall in one tenth of the refresh
};

inline double grid_after(double t_s, double period_s) {
  return std::ceil(t_s / period_s) * period_s;
}

/// Presents return up to 0.2 ms after the refresh; the light counts from there.
inline SimulatedSession vary(const Bench& bench, const Delays& delays, std::mt19937& random) {
  std::uniform_real_distribution<double> share(0, 1);
  std::vector<TruePress> presses = simulate(bench, random);
  SimulatedSession session;
  session.timings.recording = {"camera.mp4", "video", {"stamps", {}, {}}};
  session.log.header = sample_header();
  session.log.end = session::End{static_cast<std::int64_t>(presses.size()), "completed"};
  for (std::size_t k = 0; k < presses.size(); ++k) {
    TruePress& press = presses[k];
    if (delays.in_step) {
      press.press_s = grid_after(press.press_s, kRefreshSeconds) + 1e-4 + 0.0017 * share(random);
    }
    press.arrival_s = press.press_s + 1e-3 * delays.delivery_ms(random);
    if (delays.poll_s > 0) {
      press.arrival_s = grid_after(press.arrival_s, delays.poll_s);
    }
    press.submit_s = press.arrival_s + 3e-4;
    const double flip_s = grid_after(press.submit_s, kRefreshSeconds);
    press.light_s = flip_s + 1e-3 * delays.screen_ms(random);
    const auto index = static_cast<std::int64_t>(k);
    session.log.presses.push_back(logged(bench, press, index));
    session.log.presses.back().present_ns = host_ns(bench, flip_s + 2e-4 * share(random));
    session.timings.presses.push_back(recorded(bench, press, index));
  }
  return session;
}

inline std::function<double(std::mt19937&)> normal_ms(double mean, double sd) {
  return [=](std::mt19937& random) { return std::normal_distribution<double>(mean, sd)(random); };
}

}  // namespace thumblight::test
