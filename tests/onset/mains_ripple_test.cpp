#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <vector>

#include "analysis/onset/mains_ripple.hpp"

using namespace thumblight::onset;

namespace {

std::vector<double> times(std::size_t frames, double frame_hz) {
  std::vector<double> time_s;
  for (std::size_t i = 0; i < frames; ++i) {
    time_s.push_back(12.3 + static_cast<double>(i) / frame_hz);
  }
  return time_s;
}

/// Two cells: one that steps by 0.2 in the middle, one that stays; both ripple.
std::vector<float> rippling(const std::vector<double>& time_s, double hz, double ripple) {
  std::vector<float> levels;
  for (std::size_t i = 0; i < time_s.size(); ++i) {
    const double swing = ripple * std::cos(2 * std::numbers::pi * hz * time_s[i] + 0.7);
    levels.push_back(static_cast<float>((2 * i < time_s.size() ? 0.3 : 0.5) + swing));
    levels.push_back(static_cast<float>(0.4 + swing));
  }
  return levels;
}

double largest_difference(const std::vector<float>& a, const std::vector<float>& b) {
  double most = 0;
  for (std::size_t i = 0; i < a.size(); ++i) {
    most = std::max(most, std::abs(static_cast<double>(a[i]) - static_cast<double>(b[i])));
  }
  return most;
}

}  // namespace

TEST_CASE("the mains' ripple goes and a step stays, at any rate of frames") {
  for (const double frame_hz : {120.0, 239.76, 240.0, 960.0}) {
    for (const double hz : {100.0, 120.0}) {
      if (frame_hz == 120.0 && hz == 120.0) {
        continue;  // such frames do not see it
      }
      INFO(hz << " Hz at " << frame_hz << " frames a second");
      const auto time_s = times(static_cast<std::size_t>(0.45 * frame_hz), frame_hz);
      std::vector<float> levels = rippling(time_s, hz, 0.1);
      take_out_mains(time_s, 2, levels);
      // A step has a little of every swing: up to a tenth of its height goes with it.
      CHECK(largest_difference(levels, rippling(time_s, 0, 0)) < 0.1 * 0.2);
    }
  }
}

TEST_CASE("a swing too slow to be told from a step is left") {
  // Frames at 120.5 a second show 120 Hz as half a swing a second.
  for (const double frame_hz : {120.0, 120.5, 119.88}) {
    const auto time_s = times(54, frame_hz);
    std::vector<float> levels = rippling(time_s, 120, 0.1);
    const std::vector<float> before = levels;
    take_out_mains(time_s, 2, levels);
    // Only what 100 Hz have of the step may go.
    CHECK(largest_difference(levels, before) < 0.1 * 0.2);
  }
}

TEST_CASE("too few frames to tell a ripple by are left as they are") {
  for (const std::size_t frames : {0, 1, 11}) {
    const auto time_s = times(frames, 240);
    std::vector<float> levels = rippling(time_s, 100, 0.1);
    const std::vector<float> before = levels;
    take_out_mains(time_s, 2, levels);
    CHECK(levels == before);
  }
  std::vector<float> levels(24, 0.5F);
  take_out_mains(std::vector<double>(12, 1.0), 2, levels);  // all at one time
  CHECK(levels == std::vector<float>(24, 0.5F));
}
