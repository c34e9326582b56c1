#include "harness/run/warm_up.hpp"

#include <cmath>
#include <vector>

#include "harness/run/clock.hpp"
#include "harness/run/frame_meter.hpp"

namespace thumblight::harness {
namespace {

constexpr int kFirstFrames = 4;

}  // namespace

std::optional<session::Intervals> warm_up(Screen& screen, int dark_level, int frames) {
  for (int frame = 0; frame < kFirstFrames; ++frame) {
    screen.show(dark_level);
  }
  std::vector<std::int64_t> intervals_ns;
  std::optional<std::int64_t> previous_ns;
  for (int frame = 0; frame < frames; ++frame) {
    const std::int64_t present_ns = screen.show(dark_level).present_ns;
    if (previous_ns) {
      intervals_ns.push_back(present_ns - *previous_ns);
    }
    previous_ns = present_ns;
  }
  return intervals_of(intervals_ns);
}

std::int64_t pacing_interval_ns(const session::Display& display) {
  if (display.vsync && display.measured_interval) {
    return display.measured_interval->median_ns;
  }
  return std::llround(static_cast<double>(kSecond_ns) / display.refresh_hz.value_or(60.0));
}

}  // namespace thumblight::harness
